using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Stealing;

/// <summary>
/// A closed form for the expected time of a job of known phases on a work-stealing pool, for an answer before the simulation
/// has one.
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
/// Waking delays w lengthen it by what the sleepers miss, (1 - 1/m) w (1 - exp(-T/w)); a cold cache makes a steal dearer by the
/// mean refill over the halvings of the range. With the benchmark's "stealing form", over 8 distributions, 100 to 500,000
/// units, grains to 1024 and 2 to 1024 workers, the error against the simulated mean depends on the parallel slack
/// T1/(p T_inf): see <see cref="StatedError"/>.
/// </remarks>
public static class ExpectedPhase
{
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
    public static double ExpectedSeconds(ParallelPhase phase, WorkerPool pool)
    {
        ArgumentNullException.ThrowIfNull(phase);
        return Expected(phase, LongestChain.Of(phase), pool.Workers, pool.WorkerSpeed).Seconds;
    }

    /// <summary>The same for any number of cores' worth, with the part of it that waits for the last leaf.</summary>
    /// <param name="phase">The phase.</param>
    /// <param name="chain">Its longest chain, worked out once for all core counts.</param>
    /// <param name="cores">Cores' worth, one worker to each; 1 or more.</param>
    /// <param name="speed">Speed of every worker.</param>
    internal static (double Seconds, double Waiting) Expected(ParallelPhase phase, LongestChain chain, double cores, double speed = 1)
    {
        double leaves = phase.Tree.Leaves;
        double workers = Math.Min(cores, leaves);
        double others = 1 - 1 / workers;
        double even = phase.WorkSeconds / workers;
        double besides = others * chain.AroundSeconds + speed * StealingSeconds(phase, leaves, workers);
        double waiting = WaitForTheLastLeaf(even, phase.UsefulSeconds / leaves, chain.LeafSeconds, leaves, workers);
        double floor = Math.Max(phase.WorkSeconds / cores, chain.SpanSeconds);
        waiting = Math.Max(waiting, floor - even - besides);
        return (Waking((even + besides + waiting) / speed, phase.Costs.WakeSeconds, others), waiting / speed);
    }

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

    private static double WaitForTheLastLeaf(double even, double mean, double longest, double leaves, double workers)
    {
        double starts = even * (1 - workers / leaves);
        double late = longest - even + starts;
        double oneLeaf = longest >= even ? longest - even + starts / 2 : late > 0 ? late * late / (2 * starts) : 0;
        // With a leaf for each worker at most nobody ends on a second one; with two for each all do.
        double secondLeaf = Math.Min(1, leaves / workers - 1);
        double lastLeaves = leaves > 1 ? secondLeaf * (longest - mean) * Math.Log(workers) / Math.Log(leaves) : 0;
        double wholeLeaves = Math.Ceiling(leaves / workers) * mean - even;
        return Math.Max(Math.Max((1 - 1 / workers) * oneLeaf, lastLeaves), Math.Max(wholeLeaves, 0));
    }

    private static double StealingSeconds(ParallelPhase phase, double leaves, double workers)
    {
        SchedulingCosts costs = phase.Costs;
        double tries = 2.3 * (workers - 1) / (workers + 3) * Math.Log2(1 + (leaves - 1) / 6);
        double steals = 0.8 * (Math.Log2(workers) + (1 - 1 / workers) * Math.Log2(leaves / workers));
        return tries * costs.StealAttemptSeconds + steals * (costs.StealSeconds + costs.RefillSecondsPerUnit * RefilledUnits(phase));
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

    // The time t by which workers that wake up after w on average have done what takes t0 if all are awake: t = t0 + (1 - 1/m) w
    // (1 - exp(-t/w)). Each round brings it closer from below.
    private static double Waking(double awake, double wake, double others)
    {
        double seconds = awake;
        for (int round = 0; round < 50 && wake > 0; round++)
            seconds = awake + others * wake * (1 - Math.Exp(-seconds / wake));
        return seconds;
    }
}

/// <summary>What the longest chain of a phase consists of.</summary>
/// <param name="LeafSeconds">Mean time of the longest leaf, seconds.</param>
/// <param name="AroundSeconds">Forks, joins and combines around a leaf, seconds.</param>
/// <param name="SpanSeconds">T_inf, seconds.</param>
internal readonly record struct LongestChain(double LeafSeconds, double AroundSeconds, double SpanSeconds)
{
    public static LongestChain Of(ParallelPhase phase) =>
        new(phase.ExpectedLongestTaskSeconds, phase.Tree.SpanSeconds(0, phase.Costs), phase.SpanSeconds);
}
