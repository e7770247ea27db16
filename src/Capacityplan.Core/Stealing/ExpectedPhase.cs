using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Stealing;

/// <summary>
/// A closed form for the expected time of a parallel phase on a work-stealing pool, for an answer before the simulation has one.
/// What does not depend on the pool is worked out once.
/// </summary>
/// <remarks>
/// With n leaves of x seconds on average, the longest of L, and m = min(p, n) workers that can be busy, a phase takes the sum of
/// <list type="bullet">
/// <item>A = T1/m, its units, forks, joins and combines shared out evenly;</item>
/// <item>(1 - 1/m) C, C being the forks, joins and combines around a leaf, which the others wait for at either end;</item>
/// <item>
/// the wait for the last leaf, the longest of three: (1) L starts at any time of [0, B], B = A (1 - m/n), the first m leaves
/// starting at once, so it ends past A by (B + L - A)^2/(2 B) on average, or L - A + B/2 where L is above A; (2) each worker ends
/// on a leaf, and the longest of m leaves is past the mean by (L - x) ln m/ln n where lengths fall off exponentially; (3) whole
/// leaves: ceil(n/m) x - A;
/// </item>
/// <item>
/// steals one after another: 2.3 (m - 1)/(m + 3) log2(1 + (n - 1)/6) tries of a seconds, and
/// 0.8 (log2 m + (1 - 1/m) log2(n/m)) steals.
/// </item>
/// </list>
/// It is no less than max(T1/p, T_inf). The five figures are fitted to our own simulation and rounded: a, L and C are the model's.
/// Waking delays w lengthen it by what the sleepers miss, (1 - 1/p) w (1 - exp(-T/w)); a cold cache makes a steal dearer by the
/// mean refill over the halvings of the range. With the benchmark's "stealing form", over 8 distributions, 100 to 500,000
/// units, grains to 1024 and 2 to 1024 workers, the error against the simulated mean depends on the parallel slack
/// T1/(p T_inf): see <see cref="StatedError"/>.
/// </remarks>
public sealed class ExpectedPhase
{
    private readonly double _leaves;
    private readonly double _longestLeafSeconds;
    private readonly double _aroundSeconds;
    private readonly double _spanSeconds;
    private readonly double _stealSeconds;

    /// <summary>Works out what holds on any pool.</summary>
    /// <param name="phase">The phase.</param>
    public ExpectedPhase(ParallelPhase phase)
    {
        ArgumentNullException.ThrowIfNull(phase);
        Phase = phase;
        _leaves = phase.Tree.Leaves;
        _longestLeafSeconds = phase.ExpectedLongestTaskSeconds;
        _aroundSeconds = phase.Tree.SpanSeconds(0, phase.Costs);
        _spanSeconds = phase.SpanSeconds;
        _stealSeconds = phase.Costs.StealSeconds + phase.Costs.RefillSecondsPerUnit * RefilledUnits(phase);
    }

    /// <summary>The phase.</summary>
    public ParallelPhase Phase { get; }

    /// <summary>Its mean T_inf, seconds; see <see cref="Jobs.Phase.SpanSeconds"/>.</summary>
    public double SpanSeconds => _spanSeconds;

    /// <summary>The expected time of a job, seconds; above 0.</summary>
    /// <param name="job">The job.</param>
    /// <param name="pool">The pool.</param>
    public static double ExpectedSeconds(JobStructure job, WorkerPool pool)
    {
        ArgumentNullException.ThrowIfNull(job);
        return job.Phases.Sum(phase => phase is ParallelPhase parallel ? ExpectedSeconds(parallel, pool) : phase.WorkSeconds);
    }

    /// <summary>The expected time of one phase, seconds; above 0; on one worker its mean work to the last digit.</summary>
    /// <param name="phase">The phase.</param>
    /// <param name="pool">The pool.</param>
    public static double ExpectedSeconds(ParallelPhase phase, WorkerPool pool) =>
        new ExpectedPhase(phase).At(pool.Workers, pool.WorkerSpeed).Seconds;

    /// <summary>
    /// How far the form is from the simulated mean at most in nine of ten settings, as a share of it.
    /// </summary>
    /// <param name="slack">Parallel slack, T1/(p T_inf); above 0.</param>
    /// <exception cref="ArgumentOutOfRangeException">The slack is NaN, infinite or not above 0.</exception>
    public static double StatedError(double slack) => Require.Positive(slack) switch
    {
        < 1 => 0.15,
        < 3 => 0.1,
        < 10 => 0.05,
        < 100 => 0.02,
        _ => 0.005,
    };

    /// <summary>The expected time and what it consists of.</summary>
    /// <param name="cores">p, workers; 1 or more, a fraction standing for what lies between two whole pools.</param>
    /// <param name="speed">Speed of every worker, as a share of a core to itself; above 0, at most 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public PhaseTime At(double cores, double speed = 1)
    {
        Require.AtLeast(cores, 1);
        Require.Within(Require.Positive(speed), 0, 1);
        double workers = Math.Min(cores, _leaves);
        double useful = Phase.UsefulSeconds / workers;
        double overhead = Phase.Tree.OverheadSeconds(Phase.Costs) / workers;
        double around = (1 - 1 / workers) * _aroundSeconds;
        double waiting = WaitForTheLastLeaf(useful + overhead, workers);
        double stealing = StealingSeconds(workers);
        double shortOfSpan = (_spanSeconds - useful - overhead - around - waiting) / speed - stealing;
        waiting += Math.Max(0, shortOfSpan * speed);
        double awake = (useful + overhead + around + waiting) / speed + stealing;
        double waking = WakingSeconds(awake, Phase.Costs.WakeSeconds, 1 - 1 / cores);
        return new PhaseTime(useful / speed, overhead / speed, around / speed, waiting / speed, stealing, waking);
    }

    private double WaitForTheLastLeaf(double even, double workers)
    {
        double mean = Phase.UsefulSeconds / _leaves;
        double longest = _longestLeafSeconds;
        double starts = even * (1 - workers / _leaves);
        double late = longest - even + starts;
        double oneLeaf = longest >= even ? longest - even + starts / 2 : late > 0 ? late * late / (2 * starts) : 0;
        // With a leaf for each worker at most nobody ends on a second one; with two for each all do.
        double secondLeaf = Math.Min(1, _leaves / workers - 1);
        double lastLeaves = _leaves > 1 ? secondLeaf * (longest - mean) * Math.Log(workers) / Math.Log(_leaves) : 0;
        double wholeLeaves = Math.Ceiling(_leaves / workers) * mean - even;
        return Math.Max(Math.Max((1 - 1 / workers) * oneLeaf, lastLeaves), workers > 1 ? Math.Max(wholeLeaves, 0) : 0);
    }

    private double StealingSeconds(double workers)
    {
        double tries = 2.3 * (workers - 1) / (workers + 3) * Math.Log2(1 + (_leaves - 1) / 6);
        double steals = 0.8 * (Math.Log2(workers) + (1 - 1 / workers) * Math.Log2(_leaves / workers));
        return tries * Phase.Costs.StealAttemptSeconds + steals * _stealSeconds;
    }

    // Mean over the halvings down to the grain of the units a stolen half makes a cache fetch.
    private static double RefilledUnits(ParallelPhase phase)
    {
        double units = 0;
        int halvings = 0;
        for (long half = phase.Units / 2; half >= phase.Grain && half > 0; half /= 2, halvings++)
            units += Math.Min(half, phase.Costs.RefillUnits);
        return halvings == 0 ? 0 : units / halvings;
    }

    // By the time t workers that wake up after w on average have done what takes t0 if all are awake: t = t0 + (1 - 1/p) w
    // (1 - exp(-t/w)). The right side rises by less than t does, so each round brings it closer from below.
    private static double WakingSeconds(double awake, double wake, double others)
    {
        double waking = 0;
        for (int round = 0; round < 50 && wake > 0; round++)
            waking = others * wake * (1 - Math.Exp(-(awake + waking) / wake));
        return waking;
    }
}

/// <summary>What the expected time of a phase consists of, clock seconds, each 0 or more.</summary>
/// <param name="UsefulSeconds">Its units, shared out evenly over the workers that can be busy.</param>
/// <param name="OverheadSeconds">Its forks, joins and combines, likewise.</param>
/// <param name="AroundSeconds">Forks, joins and combines around a leaf, which the others wait for at either end.</param>
/// <param name="WaitingSeconds">The wait for the last leaf.</param>
/// <param name="StealingSeconds">Steals one after another, failed tries included, that nothing else covers.</param>
/// <param name="WakingSeconds">What workers that are not yet awake do not do.</param>
public readonly record struct PhaseTime(
    double UsefulSeconds, double OverheadSeconds, double AroundSeconds, double WaitingSeconds, double StealingSeconds, double WakingSeconds)
{
    /// <summary>The expected time, seconds.</summary>
    public double Seconds => UsefulSeconds + OverheadSeconds + AroundSeconds + WaitingSeconds + StealingSeconds + WakingSeconds;
}
