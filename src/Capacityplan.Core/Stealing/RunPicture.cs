using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Stealing;

/// <summary>How much of a run is kept for a picture of it.</summary>
public sealed record RunPictureSettings
{
    /// <summary>The most workers whose segments are kept; 1 or more.</summary>
    public int MostRows { get; init => field = Require.AtLeast(value, 1, nameof(MostRows)); } = 64;

    /// <summary>
    /// The most segments kept; 1 or more. One for each row and phase is always kept, even where those are more.
    /// </summary>
    public int MostSegments { get; init => field = Require.AtLeast(value, 1, nameof(MostSegments)); } = 4000;

    /// <summary>The most steals kept; 0 or more.</summary>
    public int MostSteals { get; init => field = Require.AtLeast(value, 0, nameof(MostSteals)); } = 1000;
}

/// <summary>One simulated run of a job, told worker by worker: what each of them did, and when.</summary>
/// <remarks>
/// It is the very run that <see cref="PoolSimulation"/> simulates under the same seed and replicate: the same makespan to the
/// last digit.
/// </remarks>
public sealed class RunPicture
{
    /// <summary>The most workers of a pool whose run can be pictured.</summary>
    public const int MostWorkers = 4096;

    private RunPicture(
        WorkerPool pool, SimulatedRun run, RunRecorder record, int[] rows, RunSegment[] segments, int mergedSegments)
    {
        Pool = pool;
        Run = run;
        Rows = Array.AsReadOnly(rows);
        Phases = record.Phases.AsReadOnly();
        Segments = Array.AsReadOnly(segments);
        MergedSegments = mergedSegments;
        Steals = Array.AsReadOnly<RunSteal>([.. record.LargestSteals]);
        WorkerTimes = Array.AsReadOnly(record.Times);
    }

    /// <summary>The pool.</summary>
    public WorkerPool Pool { get; }

    /// <summary>The run in figures.</summary>
    public SimulatedRun Run { get; }

    /// <summary>The phases in the order they ran; each begins when the one before ends.</summary>
    public IReadOnlyList<RunPhase> Phases { get; }

    /// <summary>
    /// Workers whose segments are kept, rising: all of them, or worker 0, those that ended a phase, and others evenly
    /// spread over the pool.
    /// </summary>
    public IReadOnlyList<int> Rows { get; }

    /// <summary>Segments of the rows, by worker and then by time; a row's cover the whole run without gap or overlap.</summary>
    public IReadOnlyList<RunSegment> Segments { get; }

    /// <summary>
    /// How many segments were too many and, being the shortest, were merged into <see cref="RunActivity.Mixed"/> ones; 0 where
    /// all are shown as they were.
    /// </summary>
    public int MergedSegments { get; }

    /// <summary>The largest steals of the run, by whatever worker, in the order they happened. <see cref="Run"/> counts all.</summary>
    public IReadOnlyList<RunSteal> Steals { get; }

    /// <summary>What the time of every worker went into, rows or not.</summary>
    public IReadOnlyList<WorkerTime> WorkerTimes { get; }

    /// <summary>Simulates one run once more and writes down what the workers do in it.</summary>
    /// <param name="job">The job.</param>
    /// <param name="pool">The pool; at most <see cref="MostWorkers"/> workers.</param>
    /// <param name="seed">Seed of the simulation.</param>
    /// <param name="replicate">Which of its runs; from 0.</param>
    /// <param name="settings">How much to keep; the defaults of <see cref="RunPictureSettings"/> where null.</param>
    /// <param name="cancellation">Ends it early.</param>
    /// <exception cref="ArgumentOutOfRangeException">There are too many workers, or the replicate is below 0.</exception>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static RunPicture Of(
        JobStructure job, WorkerPool pool, int seed, int replicate, RunPictureSettings? settings = null,
        CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(job);
        Require.Within(pool.Workers, 1, MostWorkers, nameof(pool));
        Require.AtLeast(replicate, 0);
        settings ??= new RunPictureSettings();
        int[] rows = [.. Enumerable.Range(0, pool.Workers)];
        if (pool.Workers > settings.MostRows)
        {
            // Only after a run is it known which workers ended its phases: those are worth a row.
            var ends = new RunRecorder(pool.Workers, [], 0);
            PoolSimulation.Replay(job, pool, seed, replicate, ends, cancellation);
            rows = ChooseRows(pool.Workers, settings.MostRows, ends.Phases);
        }

        var record = new RunRecorder(pool.Workers, rows, settings.MostSteals);
        SimulatedRun run = PoolSimulation.Replay(job, pool, seed, replicate, record, cancellation);
        (RunSegment[] segments, int merged) = SegmentThinning.Thin(record.Segments, settings.MostSegments);
        return new RunPicture(pool, run, record, rows, segments, merged);
    }

    private static int[] ChooseRows(int workers, int most, List<RunPhase> phases)
    {
        var rows = new SortedSet<int> { 0 };
        // The longest phases first, should there be more of them than rows.
        foreach (RunPhase phase in phases.OrderByDescending(phase => phase.EndSeconds - phase.StartSeconds))
        {
            if (rows.Count < most)
                rows.Add(phase.LastWorker);
        }

        int rest = most - rows.Count;
        for (int i = 1; i <= rest; i++)
        {
            int worker = (int)((long)i * workers / (rest + 1));
            while (!rows.Add(worker))
                worker = (worker + 1) % workers;
        }

        return [.. rows];
    }
}
