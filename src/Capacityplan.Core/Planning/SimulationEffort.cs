using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>About how much work a simulation is, known before it is begun, so that one nobody would wait for is not begun.</summary>
/// <remarks>
/// A step is about the drawing of one unit, some 10 to 50 ns on one core. A steal takes about as long as 40 of them, and there
/// are some 4 p log2(leaves) at most; so does a try that meets a deque while its owner is still forking, and while a fork lasts
/// one try every interval may. Measured on one machine, meant as an order of magnitude.
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
        double depth = Log2(1 + phase.Tree.Leaves);
        double steals = Min(phase.Tree.Leaves, 4 * workers * depth);
        double gaps = Min(phase.Tree.Forks, steals * depth);
        return StepsToASteal * (steals + gaps * phase.Costs.ForkSeconds / phase.Costs.StealAttemptSeconds);
    }

    private static bool IsDrawn(ParallelPhase phase) => phase.UnitSizes switch
    {
        ConstantSizes => false,
        ExponentialSizes or GammaSizes => phase.Units <= PoolSimulation.MostSingleDraws,
        _ => true,
    };
}
