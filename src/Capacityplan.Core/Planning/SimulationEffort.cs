using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>About how much work a simulation is, known before it is begun, so that one nobody would wait for is not begun.</summary>
/// <remarks>
/// A step is about the drawing of one unit, 13 to 50 ns of one core of the machine it was measured on. A steal takes about as
/// long as 40 of them, and there are 2 p log2(leaves) at most in what was tried (1.6 on 4,096 workers with 10^10 leaves), never
/// more than leaves. What the pool costs hardly matters. An order of magnitude, no promise.
/// </remarks>
public static class SimulationEffort
{
    private const double StepsToASteal = 40;

    /// <summary>Steps of a simulation.</summary>
    /// <param name="job">The job.</param>
    /// <param name="pools">The pools it is simulated on.</param>
    /// <param name="replicates">Runs simulated on each pool.</param>
    public static double Steps(JobStructure job, IEnumerable<WorkerPool> pools, int replicates)
    {
        ArgumentNullException.ThrowIfNull(job);
        double steps = 0;
        ParallelPhase[] phases = [.. job.Phases.OfType<ParallelPhase>()];
        foreach (ParallelPhase phase in phases)
            steps += IsDrawn(phase) ? phase.Units : 0;
        foreach (WorkerPool pool in pools)
        {
            // A pool that has nothing to do takes its start and its end all the same.
            steps += pool.Workers + phases.Sum(phase => StepsOn(phase, pool.Workers));
        }

        return steps * replicates;
    }

    private static double StepsOn(ParallelPhase phase, int workers)
    {
        if (workers == 1)
            return 1;
        return StepsToASteal * Min(phase.Tree.Leaves, 2 * workers * Log2(1 + phase.Tree.Leaves));
    }

    private static bool IsDrawn(ParallelPhase phase) => phase.UnitSizes switch
    {
        ConstantSizes => false,
        ExponentialSizes or GammaSizes => phase.Units <= PoolSimulation.MostSingleDraws,
        _ => true,
    };
}
