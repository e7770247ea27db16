using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Stealing;

/// <summary>How often a job is simulated, and from which seed.</summary>
public sealed record SimulationSettings
{
    /// <summary>The most replicates of one simulation.</summary>
    public const int MostReplicates = 1_000_000;

    /// <summary>Runs simulated on each pool; from 1 to <see cref="MostReplicates"/>.</summary>
    public int Replicates
    {
        get;
        init => field = (int)Require.Within(value, 1, MostReplicates, nameof(Replicates));
    } = 200;

    /// <summary>Seed of everything random; the same seed gives the same answer on any number of threads.</summary>
    public int Seed { get; init; } = 1;

    /// <summary>Most threads at work at once; 1 or more. Fewer are used where drawn units would take too much memory.</summary>
    public int Threads { get; init => field = Require.AtLeast(value, 1, nameof(Threads)); } = Environment.ProcessorCount;
}

/// <summary>How far a simulation has come.</summary>
/// <param name="Replicates">Runs it will have simulated on each pool.</param>
/// <param name="SoFar">What the first runs say, one entry for each pool; the same whenever that many have been simulated.</param>
public sealed record SimulationProgress(int Replicates, IReadOnlyList<SimulatedPool> SoFar)
{
    /// <summary>Runs that <see cref="SoFar"/> rests on; 1 or more.</summary>
    public int Completed => SoFar[0].Runs.Count;
}

/// <summary>Simulates a job on work-stealing pools without simulating its tasks.</summary>
/// <remarks>
/// The model: a range of units is halved down to the grain; the right half of every fork goes on the worker's own deque; a
/// worker without work tries uniformly drawn others at the points of a Poisson process and takes their oldest item; whoever
/// finishes the second half of a range runs its join. Phases run one after another. Each replicate draws durations afresh and
/// shares them between the pools; durations and tries come from separate streams, and each pool has its own, so a pool's runs
/// do not depend on which others are asked for.
/// </remarks>
public static class PoolSimulation
{
    /// <summary>
    /// Units past which exponential and gamma durations are no longer drawn one by one: sums of ranges are drawn instead, which
    /// is as exact.
    /// </summary>
    public const long MostSingleDraws = 1 << 20;

    // Drawn units are kept once for each thread: as often as fits into this much, and twice, 16 bytes a unit, in any case.
    private const long MostDrawnBytes = 1L << 26;

    private enum Purpose
    {
        Durations,
        Tries,
    }

    /// <summary>Simulates a job on pools.</summary>
    /// <param name="job">The job.</param>
    /// <param name="pools">The pools; one or more.</param>
    /// <param name="settings">How often, and from which seed; the defaults of <see cref="SimulationSettings"/> where null.</param>
    /// <param name="progress">
    /// Told what the runs so far say after the 1st, 2nd, 4th, 8th ... and after every twentieth of them; called by one thread at
    /// a time, which waits for it.
    /// </param>
    /// <param name="cancellation">Ends the simulation early.</param>
    /// <returns>One entry for each pool, in their order.</returns>
    /// <exception cref="ArgumentException">There is no pool.</exception>
    /// <exception cref="OperationCanceledException">The simulation was cancelled.</exception>
    public static IReadOnlyList<SimulatedPool> Run(
        JobStructure job, IReadOnlyList<WorkerPool> pools, SimulationSettings? settings = null,
        IProgress<SimulationProgress>? progress = null, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(pools);
        if (pools.Count == 0)
            throw new ArgumentException("There is no pool to simulate the job on.", nameof(pools));
        return Run(job, pools, Costs(job, pools), settings ?? new SimulationSettings(), progress, cancellation);
    }

    /// <summary>Simulates a job on pools, each with costs of its own, which may split phases otherwise than the job says.</summary>
    /// <remarks>Where they do, the span of a run is still that of the job's own split.</remarks>
    internal static SimulatedPool[] Run(
        JobStructure job, IReadOnlyList<WorkerPool> pools, PhaseCosts?[][] costs, SimulationSettings settings,
        IProgress<SimulationProgress>? progress, CancellationToken cancellation)
    {
        var replicates = new ReplicateRuns(pools, settings.Replicates, progress);
        var options = new ParallelOptions
        {
            CancellationToken = cancellation,
            MaxDegreeOfParallelism = Threads(job, settings.Threads),
            // Threads are the caller's, where it runs on some of its own.
            TaskScheduler = TaskScheduler.Current,
        };
        Parallel.For(
            0, settings.Replicates, options,
            () => RoomToDraw(job),
            (replicate, _, drawn) =>
            {
                replicates.Add(replicate, One(job, pools, costs, drawn, settings.Seed, replicate, null, cancellation));
                return drawn;
            },
            _ => { });
        return replicates.Result();
    }

    /// <summary>Repeats one run of a simulation and has it written down.</summary>
    /// <param name="job">The job.</param>
    /// <param name="pool">The pool.</param>
    /// <param name="seed">Seed of the simulation.</param>
    /// <param name="replicate">Which of its runs; from 0.</param>
    /// <param name="record">Told of the run.</param>
    /// <param name="cancellation">Ends it early.</param>
    internal static SimulatedRun Replay(
        JobStructure job, WorkerPool pool, int seed, int replicate, RunRecorder record, CancellationToken cancellation = default) =>
        One(job, [pool], Costs(job, [pool]), RoomToDraw(job), seed, replicate, record, cancellation)[0];

    /// <summary>What each phase costs on each pool; null for serial phases.</summary>
    internal static PhaseCosts?[][] Costs(JobStructure job, IReadOnlyList<WorkerPool> pools) => [.. job.Phases.Select(phase =>
        pools.Select(pool => phase is ParallelPhase parallel ? new PhaseCosts(parallel, pool) : null).ToArray())];

    private static DrawnUnits?[] RoomToDraw(JobStructure job) =>
        [.. job.Phases.Select(phase => NeedsDraw(phase) ? new DrawnUnits((ParallelPhase)phase) : null)];

    private static SimulatedRun[] One(
        JobStructure job, IReadOnlyList<WorkerPool> pools, PhaseCosts?[][] costs, DrawnUnits?[] drawn,
        int seed, int replicate, RunRecorder? record, CancellationToken cancellation)
    {
        var runs = new SimulatedRun[pools.Count];
        for (int number = 0; number < job.Phases.Count; number++)
        {
            switch (job.Phases[number])
            {
                case SerialPhase serial:
                    double serialStart = runs[0].MakespanSeconds;
                    for (int i = 0; i < runs.Length; i++)
                        runs[i] = runs[i].ThenSerial(serial.Seconds);
                    record?.Serial(serial.Name, serialStart, runs[0].MakespanSeconds);
                    break;
                case ParallelPhase parallel:
                    DrawnUnits? units = drawn[number];
                    units?.Draw(Source(seed, replicate, number, 0, Purpose.Durations), cancellation);
                    double span = units?.SpanSeconds ?? parallel.SpanSeconds;
                    PhaseRun run = default;
                    for (int i = 0; i < runs.Length; i++)
                    {
                        // The same phase on the same pool as before, in a job of which another phase is varied.
                        if (i > 0 && costs[number][i] == costs[number][i - 1])
                        {
                            runs[i] = runs[i].Then(run, span, pools[i].WorkerSpeed);
                            continue;
                        }

                        RandomSource durations = Source(seed, replicate, number, 0, Purpose.Durations);
                        RandomSource tries = Source(seed, replicate, number, pools[i].Workers, Purpose.Tries);
                        record?.Begin(runs[i].MakespanSeconds, costs[number][i]!);
                        run = RunPhase(parallel, costs[number][i]!, units, durations, tries, record, cancellation);
                        runs[i] = runs[i].Then(run, span, pools[i].WorkerSpeed);
                        record?.End(parallel.Name, runs[i].MakespanSeconds);
                    }

                    break;
                default:
                    throw new InvalidOperationException($"No way to simulate the phase '{job.Phases[number].Name}'.");
            }
        }

        return runs;
    }

    /// <summary>Simulates one run of one phase.</summary>
    internal static PhaseRun RunPhase(
        ParallelPhase phase, PhaseCosts costs, DrawnUnits? drawn, RandomSource durations, RandomSource tries,
        RunRecorder? record = null, CancellationToken cancellation = default)
    {
        if (drawn is not null)
        {
            return drawn.Shift == 0
                ? RandomTries.Run(costs, new PrefixSums(drawn.Sums, phase.Units), tries, record, cancellation)
                : RandomTries.Run(costs, new BlockSums(drawn.Sums, phase.Units, drawn.Shift), tries, record, cancellation);
        }

        return phase.UnitSizes switch
        {
            ConstantSizes constant => RandomTries.Run(costs, new ConstantSums(constant.Value, phase.Units), tries, record, cancellation),
            ExponentialSizes sizes => RandomTries.Run(costs, new GammaSums(1, sizes.Mean, phase.Units, durations), tries, record, cancellation),
            GammaSizes sizes => RandomTries.Run(costs, new GammaSums(sizes.Shape, sizes.Scale, phase.Units, durations), tries, record, cancellation),
            _ => throw new InvalidOperationException($"The units of '{phase.Name}' have to be drawn: sums of them have no form of their own."),
        };
    }

    private static bool NeedsDraw(Phase phase) => phase is ParallelPhase parallel && parallel.UnitSizes switch
    {
        ConstantSizes => false,
        ExponentialSizes or GammaSizes => parallel.Units <= MostSingleDraws,
        _ => true,
    };

    /// <summary>How many threads a simulation uses, given that each keeps the job's drawn units.</summary>
    internal static int Threads(JobStructure job, int most) =>
        (int)Math.Min(most, Math.Max(2, MostDrawnBytes / Math.Max(1, DrawnBytes(job))));

    private static long DrawnBytes(JobStructure job) => job.Phases.Where(NeedsDraw)
        .Sum(phase => sizeof(double) * Math.Min(((ParallelPhase)phase).Units, DrawnUnits.MostSums));

    private static RandomSource Source(int seed, int replicate, int phase, int workers, Purpose purpose) =>
        new(unchecked((ulong)seed), (ulong)replicate, (ulong)phase << 32 | (ulong)workers << 1 | (ulong)purpose);
}
