using System.Collections.Immutable;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Planning;

/// <summary>
/// The simulation that a forecast from phases rests on: the same pools and as many runs wherever a forecast is made, so that
/// every place gives the same answer.
/// </summary>
public static class StructureSimulation
{
    /// <summary>Runs on each pool; with so many the mean is known to a sixth of the spread of single runs.</summary>
    public const int Replicates = 40;

    private const int MostWorkers = 1_024;

    /// <summary>The pools: 1, 2, 4 ... 1,024 workers, each with a core to itself.</summary>
    public static ImmutableArray<WorkerPool> Pools { get; } =
        [.. Enumerable.Range(0, int.Log2(MostWorkers) + 1).Select(power => new WorkerPool(1 << power))];

    /// <summary>How much work it is, in the steps of <see cref="SimulationEffort"/>.</summary>
    /// <param name="structure">The phases.</param>
    public static double Steps(JobStructure structure) => SimulationEffort.Steps(structure, Pools, Replicates);

    /// <summary>Simulates a job's phases.</summary>
    /// <param name="structure">The phases.</param>
    /// <param name="seed">Seed of everything random.</param>
    /// <param name="threads">Most threads at work at once; 1 or more.</param>
    /// <param name="progress">Told what the runs so far say.</param>
    /// <param name="cancellation">Ends it early.</param>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static IReadOnlyList<SimulatedPool> Run(
        JobStructure structure, int seed, int threads, IProgress<SimulationProgress>? progress = null, CancellationToken cancellation = default) =>
        PoolSimulation.Run(
            structure, Pools, new SimulationSettings { Replicates = Replicates, Seed = seed, Threads = threads }, progress, cancellation);
}
