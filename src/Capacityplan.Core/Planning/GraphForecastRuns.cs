using Capacityplan.Core.Graphs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Planning;

/// <summary>
/// The simulated runs that a forecast from a task graph rests on: on the same pools and as many wherever a forecast is made, so
/// that every place gives the same answer.
/// </summary>
public static class GraphForecastRuns
{
    /// <summary>The most runs on each pool. Durations stay the same from run to run, so runs of one graph differ little.</summary>
    public const int MostReplicates = 20;

    private const double TaskRuns = 3e6;

    /// <summary>Runs on each pool; fewer of large graphs, in which what single steals do averages out.</summary>
    /// <param name="graph">The graph.</param>
    public static int ReplicatesOf(TaskGraph graph) =>
        (int)Math.Clamp(TaskRuns / graph.Count / StructureSimulation.Pools.Length, 1, MostReplicates);

    /// <summary>Simulates a graph on <see cref="StructureSimulation.Pools"/>.</summary>
    /// <param name="job">The job.</param>
    /// <param name="seed">Seed of everything random.</param>
    /// <param name="threads">Most threads at work at once; 1 or more.</param>
    /// <param name="progress">Told what the runs so far say.</param>
    /// <param name="cancellation">Ends it early.</param>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static IReadOnlyList<SimulatedPool> Run(
        GraphJob job, int seed, int threads, IProgress<SimulationProgress>? progress = null, CancellationToken cancellation = default) =>
        GraphSimulation.Run(
            job.Graph, job.Costs, StructureSimulation.Pools,
            new SimulationSettings { Replicates = ReplicatesOf(job.Graph), Seed = seed, Threads = threads }, progress, cancellation);
}
