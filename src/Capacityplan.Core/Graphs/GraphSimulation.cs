using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Graphs;

/// <summary>Simulates a task graph on work-stealing pools, task by task.</summary>
/// <remarks>
/// The model: a task that becomes ready is pushed on the deque of the worker that finished its last parent; of several at once
/// the smallest number first, so that the largest is popped first. Tasks ready at the start are dealt out by number, worker by
/// worker. A worker pops its newest task for nothing, and each task pays a fork and a join once, before it. A worker
/// without tasks is a thief: it tries uniformly drawn others at the points of a Poisson process and takes their oldest task. A
/// task counts as one unit where a steal costs refilling a cache; nothing is combined. Durations are those of the graph, so
/// only the tries differ from run to run; each pool has a stream of its own.
/// </remarks>
public static class GraphSimulation
{
    /// <summary>Simulates a graph on pools.</summary>
    /// <param name="graph">The graph.</param>
    /// <param name="costs">What the pool costs.</param>
    /// <param name="pools">The pools; one or more.</param>
    /// <param name="settings">How often, and from which seed; the defaults of <see cref="SimulationSettings"/> where null.</param>
    /// <param name="progress">Told what the runs so far say, as by <see cref="PoolSimulation"/>.</param>
    /// <param name="cancellation">Ends the simulation early.</param>
    /// <returns>
    /// One entry for each pool, in their order; work, span and overhead count a fork and a join for each task, a run's units are
    /// tasks.
    /// </returns>
    /// <exception cref="ArgumentException">There is no pool.</exception>
    /// <exception cref="ArgumentOutOfRangeException">The mean time between tries is 0.</exception>
    /// <exception cref="OperationCanceledException">The simulation was cancelled.</exception>
    public static IReadOnlyList<SimulatedPool> Run(
        TaskGraph graph, SchedulingCosts costs, IReadOnlyList<WorkerPool> pools, SimulationSettings? settings = null,
        IProgress<SimulationProgress>? progress = null, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(graph);
        ArgumentNullException.ThrowIfNull(costs);
        ArgumentNullException.ThrowIfNull(pools);
        Require.Positive(costs.StealAttemptSeconds, nameof(costs));
        if (pools.Count == 0)
            throw new ArgumentException("There is no pool to simulate the graph on.", nameof(pools));
        settings ??= new SimulationSettings();
        double span = graph.SpanSecondsWith(costs.ForkSeconds + costs.JoinSeconds);
        var replicates = new ReplicateRuns(pools, settings.Replicates, progress);
        var options = new ParallelOptions { CancellationToken = cancellation, MaxDegreeOfParallelism = settings.Threads, TaskScheduler = TaskScheduler.Current };
        Parallel.For(
            0, settings.Replicates, options,
            () => new GraphRun(graph, costs),
            (replicate, _, run) =>
            {
                var runs = new SimulatedRun[pools.Count];
                for (int i = 0; i < runs.Length; i++)
                    runs[i] = run.Simulate(pools[i], Tries(settings.Seed, replicate, pools[i]), span, null, cancellation);
                replicates.Add(replicate, runs);
                return run;
            },
            _ => { });
        return replicates.Result();
    }

    /// <summary>Repeats one run of <see cref="Run"/> and has it written down: where and when each task ran, for a picture.</summary>
    /// <param name="graph">The graph.</param>
    /// <param name="costs">What the pool costs.</param>
    /// <param name="pool">The pool.</param>
    /// <param name="seed">Seed of the simulation.</param>
    /// <param name="replicate">Which of its runs; from 0.</param>
    /// <param name="cancellation">Ends it early.</param>
    /// <returns>The schedule; a task's time includes its fork and join, and is longer where workers share cores.</returns>
    /// <exception cref="ArgumentOutOfRangeException">The mean time between tries is 0, or the replicate is below 0.</exception>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static GraphSchedule Schedule(
        TaskGraph graph, SchedulingCosts costs, WorkerPool pool, int seed, int replicate, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(graph);
        ArgumentNullException.ThrowIfNull(costs);
        Require.Positive(costs.StealAttemptSeconds, nameof(costs));
        Require.AtLeast(replicate, 0);
        var tasks = new ScheduledTask[graph.Count];
        new GraphRun(graph, costs).Simulate(pool, Tries(seed, replicate, pool), 0, tasks, cancellation);
        return new GraphSchedule(pool.Workers, tasks);
    }

    private static RandomSource Tries(int seed, int replicate, WorkerPool pool) =>
        new(unchecked((ulong)seed), (ulong)replicate, (ulong)pool.Workers);
}
