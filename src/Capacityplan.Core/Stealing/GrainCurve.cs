using Capacityplan.Core.Jobs;
using Capacityplan.Core.Laws;
using MathNet.Numerics.Statistics;

namespace Capacityplan.Core.Stealing;

/// <summary>How long a job takes by how finely one of its phases is split.</summary>
/// <remarks>
/// Every split is simulated on the same drawn units and the same stream of tries, so that differences between splits are known
/// far better than the run times themselves. Splitting halves ranges: all grains between N/2^k and about twice that give one
/// and the same tree, and one and the same run, so powers of two show all there is.
/// </remarks>
public sealed class GrainCurve
{
    /// <summary>How much slower than the best a grain may be on average and still lie in the flat part, as a share.</summary>
    public const double FlatShare = 0.02;

    private GrainCurve(GrainPoint[] points, double lawGrain, int completed, int replicates)
    {
        Points = Array.AsReadOnly(points);
        LawGrain = lawGrain;
        Completed = completed;
        Replicates = replicates;
        int best = Array.FindIndex(points, point => point.SlowerSeconds == 0);
        Best = points[best];
        int from = best, to = best;
        while (from > 0 && points[from - 1].SlowerSeconds <= FlatShare * Best.MakespanSeconds.Mean)
            from--;
        while (to + 1 < points.Length && points[to + 1].SlowerSeconds <= FlatShare * Best.MakespanSeconds.Mean)
            to++;
        FlatFrom = points[from].Grain;
        FlatTo = points[to].Grain;
    }

    /// <summary>The grains, rising.</summary>
    public IReadOnlyList<GrainPoint> Points { get; }

    /// <summary>The grain of the shortest mean run time; the finest of equally good ones.</summary>
    public GrainPoint Best { get; }

    /// <summary>
    /// Finest grain of the flat part: the grains around the best one whose mean run time is at most <see cref="FlatShare"/> longer.
    /// </summary>
    public long FlatFrom { get; }

    /// <summary>Coarsest grain of the flat part.</summary>
    public long FlatTo { get; }

    /// <summary>The grain the law of <see cref="GrainSize"/> gives for units that all take the mean time, for comparison; not rounded.</summary>
    public double LawGrain { get; }

    /// <summary>Replicates this rests on.</summary>
    public int Completed { get; }

    /// <summary>Replicates it will rest on in the end.</summary>
    public int Replicates { get; }

    /// <summary>Powers of two from 1 to the units of a worker's even share, and that share.</summary>
    /// <param name="units">N, units of the phase; 1 or more.</param>
    /// <param name="workers">p, workers; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A count is below 1.</exception>
    public static IReadOnlyList<long> UsualGrains(long units, int workers)
    {
        Require.AtLeast(units, 1);
        Require.AtLeast(workers, 1);
        long share = (units - 1) / workers + 1;
        var grains = new List<long>();
        for (long grain = 1; grain < share; grain *= 2)
            grains.Add(grain);
        grains.Add(share);
        return grains;
    }

    /// <summary>Expected run times by the closed form, without simulating: for an answer at once, to within its error.</summary>
    /// <param name="job">The job.</param>
    /// <param name="phase">Which of its phases is split otherwise: the place of a parallel one, from 0.</param>
    /// <param name="pool">The pool.</param>
    /// <param name="grains">Grains, units; 1 or more each.</param>
    /// <returns>Seconds of the whole job, one figure for each grain.</returns>
    /// <exception cref="ArgumentException">There is no such parallel phase, or no grain.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A grain is below 1.</exception>
    public static IReadOnlyList<double> ExpectedSeconds(JobStructure job, int phase, WorkerPool pool, IReadOnlyList<long> grains)
    {
        ParallelPhase varied = Varied(job, phase, grains);
        double others = 0;
        for (int number = 0; number < job.Phases.Count; number++)
        {
            if (number != phase)
                others += job.Phases[number] is ParallelPhase other ? ExpectedPhase.ExpectedSeconds(other, pool) : job.Phases[number].WorkSeconds;
        }

        return [.. grains.Select(grain => others + ExpectedPhase.ExpectedSeconds(WithGrain(varied, grain), pool))];
    }

    /// <summary>Simulates the job with each grain.</summary>
    /// <param name="job">The job.</param>
    /// <param name="phase">Which of its phases is split otherwise: the place of a parallel one, from 0.</param>
    /// <param name="pool">The pool.</param>
    /// <param name="grains">Grains, units, 1 or more each; those of <see cref="UsualGrains"/> where null.</param>
    /// <param name="settings">How often, and from which seed; the defaults of <see cref="SimulationSettings"/> where null.</param>
    /// <param name="progress">Told the curve so far after the 1st, 2nd, 4th, 8th ... and after every twentieth of the replicates.</param>
    /// <param name="cancellation">Ends the simulation early.</param>
    /// <exception cref="ArgumentException">There is no such parallel phase, or no grain.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A grain is below 1.</exception>
    /// <exception cref="OperationCanceledException">The simulation was cancelled.</exception>
    public static GrainCurve Simulate(
        JobStructure job, int phase, WorkerPool pool, IReadOnlyList<long>? grains = null, SimulationSettings? settings = null,
        IProgress<GrainCurve>? progress = null, CancellationToken cancellation = default)
    {
        ParallelPhase varied = Varied(job, phase, grains);
        settings ??= new SimulationSettings();
        long[] rising = [.. (grains ?? UsualGrains(varied.Units, pool.Workers)).Distinct().Order()];
        double lawGrain = GrainSize.Best(
            varied.Units, varied.UnitSizes.Mean, varied.Costs.ForkSeconds + varied.Costs.JoinSeconds, Math.Max(1, pool.Workers * pool.WorkerSpeed));
        PhaseCosts?[] usual = [.. PoolSimulation.Costs(job, [pool]).Select(costs => costs[0])];
        PhaseCosts[] split = [.. rising.Select(grain => new PhaseCosts(new RangeTree(varied.Units, grain), varied.Costs, pool))];
        PhaseCosts?[][] costs = [.. usual.Select((one, number) =>
            rising.Select((_, i) => number == phase ? split[i] : one).ToArray())];
        double[] expected = [.. ExpectedSeconds(job, phase, pool, rising)];
        GrainCurve Curve(IReadOnlyList<SimulatedPool> runs) =>
            new(Compare(rising, expected, split, runs), lawGrain, runs[0].Runs.Count, settings.Replicates);
        SimulatedPool[] all = PoolSimulation.Run(
            job, [.. rising.Select(_ => pool)], costs, settings,
            progress is null ? null : new Told(so => progress.Report(Curve(so.SoFar))), cancellation);
        return Curve(all);
    }

    private static ParallelPhase Varied(JobStructure job, int phase, IReadOnlyList<long>? grains)
    {
        ArgumentNullException.ThrowIfNull(job);
        if (phase < 0 || phase >= job.Phases.Count || job.Phases[phase] is not ParallelPhase parallel)
            throw new ArgumentException($"The job has no parallel phase at place {phase}, counted from 0.", nameof(phase));
        if (grains is { Count: 0 })
            throw new ArgumentException("There is no grain to split the phase by.", nameof(grains));
        return parallel;
    }

    private static ParallelPhase WithGrain(ParallelPhase phase, long grain) =>
        new(phase.Name, phase.Units, phase.UnitSizes, grain, phase.Costs, phase.BytesPerUnit);

    private static GrainPoint[] Compare(long[] grains, double[] expected, PhaseCosts[] split, IReadOnlyList<SimulatedPool> pools)
    {
        SimulatedPool best = pools.MinBy(pool => pool.MakespanSeconds.Mean)!;
        int runs = best.Runs.Count;
        double[] slower = new double[runs];
        return [.. pools.Select((pool, i) =>
        {
            for (int replicate = 0; replicate < runs; replicate++)
                slower[replicate] = pool.Runs[replicate].MakespanSeconds - best.Runs[replicate].MakespanSeconds;
            return new GrainPoint
            {
                Grain = grains[i],
                Leaves = split[i].Tree.Leaves,
                ExpectedSeconds = expected[i],
                MakespanSeconds = pool.MakespanSeconds,
                StandardErrorSeconds = runs > 1 ? pool.MakespanSeconds.StandardDeviation / Math.Sqrt(runs) : double.NaN,
                SlowerSeconds = pool.MakespanSeconds.Mean - best.MakespanSeconds.Mean,
                SlowerErrorSeconds = runs > 1 ? slower.StandardDeviation() / Math.Sqrt(runs) : double.NaN,
                Shares = pool.Shares,
                MeanSteals = pool.Steals.Mean,
            };
        })];
    }

    private sealed class Told(Action<SimulationProgress> tell) : IProgress<SimulationProgress>
    {
        public void Report(SimulationProgress value) => tell(value);
    }
}

/// <summary>A job split by one grain.</summary>
public sealed record GrainPoint
{
    /// <summary>Most units that are run without splitting further; 1 or more.</summary>
    public required long Grain { get; init; }

    /// <summary>Leaves of the phase.</summary>
    public required long Leaves { get; init; }

    /// <summary>Run time of the job by the closed form, seconds.</summary>
    public required double ExpectedSeconds { get; init; }

    /// <summary>Simulated run times of the job, seconds.</summary>
    public required SampleSummary MakespanSeconds { get; init; }

    /// <summary>Standard error of their mean, seconds; NaN after one run.</summary>
    public required double StandardErrorSeconds { get; init; }

    /// <summary>How much longer than the best grain's their mean is, seconds; 0 or more.</summary>
    public required double SlowerSeconds { get; init; }

    /// <summary>Standard error of that, run against run on the same units, seconds; NaN after one run.</summary>
    public required double SlowerErrorSeconds { get; init; }

    /// <summary>What the paid worker time went into, over the whole job.</summary>
    public required TimeShares Shares { get; init; }

    /// <summary>Mean number of steals that succeeded in a run of the job.</summary>
    public required double MeanSteals { get; init; }

    /// <summary>Whether it cannot be told from the best one: slower by no more than two standard errors.</summary>
    public bool IsTied => !(SlowerSeconds > 2 * SlowerErrorSeconds);
}
