namespace Capacityplan.Core.Jobs;

/// <summary>
/// How long the units of a parallel phase take: independent draws from one distribution, in seconds, none below 0.
/// </summary>
public abstract record TaskSizes
{
    private protected TaskSizes()
    {
    }

    /// <summary>Mean duration of a unit, seconds.</summary>
    public abstract double Mean { get; }

    /// <summary>Standard deviation of a unit's duration, seconds; 0 or more.</summary>
    public abstract double StandardDeviation { get; }

    /// <summary>Draws the duration of one unit, seconds.</summary>
    /// <param name="random">Where the randomness comes from.</param>
    public abstract double Sample(RandomSource random);

    /// <summary>Draws one unit for every place of <paramref name="durations"/>, in order, as <see cref="Sample"/> would.</summary>
    /// <param name="random">Where the randomness comes from.</param>
    /// <param name="durations">Filled with durations, seconds.</param>
    public abstract void Fill(RandomSource random, Span<double> durations);

    /// <summary>Chance that a unit takes longer than <paramref name="seconds"/>; from 0 to 1, falling.</summary>
    /// <param name="seconds">A duration, seconds.</param>
    public abstract double Survival(double seconds);

    /// <summary>Chance that a unit takes no longer than <paramref name="seconds"/>; from 0 to 1, rising.</summary>
    /// <param name="seconds">A duration, seconds.</param>
    public virtual double Cumulative(double seconds) => 1 - Survival(seconds);

    /// <summary>The shortest duration that at least the share <paramref name="share"/> of units does not exceed, seconds.</summary>
    /// <param name="share">From 0 to 1; at 1 the answer is infinite where no duration is the longest possible.</param>
    /// <exception cref="ArgumentOutOfRangeException">The share is NaN or outside its range.</exception>
    public double Quantile(double share) => Inverse(Require.Within(share, 0, 1));

    /// <summary>
    /// Natural logarithm of the density at <paramref name="seconds"/>, per second; minus infinity outside the durations that
    /// can be. A constant and a sample have no density: there it is the logarithm of the chance of exactly that duration.
    /// </summary>
    /// <param name="seconds">A duration, seconds.</param>
    public abstract double LogDensity(double seconds);

    /// <summary>Mean of the longest of <paramref name="count"/> units, seconds.</summary>
    /// <param name="count">How many units are drawn; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">The count is below 1.</exception>
    public double ExpectedLongest(long count) => Longest(Require.AtLeast(count, 1));

    /// <summary>
    /// Mean of the longest of <paramref name="tasks"/> tasks of <paramref name="unitsEach"/> units run one after another, seconds.
    /// </summary>
    /// <remarks>
    /// Exact for single units, constant, exponential and gamma durations. Otherwise an estimate: the sum of a task is taken to
    /// be gamma-distributed with the right mean and spread, or the longest single unit of all is taken to lie in an otherwise
    /// average task (the heavy-tailed case), whichever is longer. Against drawn tasks of 8 to 1000 units it is from 8 % below to
    /// 1 % above for lognormal and bounded Pareto durations. Where durations have a largest value it errs upwards, the gamma
    /// distribution having none: up to 10 % for uniform ones, 30 % for a sample of few values whose largest is frequent.
    /// </remarks>
    /// <param name="tasks">How many tasks there are; 1 or more.</param>
    /// <param name="unitsEach">Units of each task; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A count is below 1.</exception>
    public double ExpectedLongestTask(long tasks, long unitsEach)
    {
        Require.AtLeast(tasks, 1);
        Require.AtLeast(unitsEach, 1);
        return unitsEach == 1 ? Longest(tasks) : LongestSum(tasks, unitsEach);
    }

    private protected abstract double Inverse(double share);

    private protected abstract double Longest(long count);

    private protected virtual double LongestSum(long tasks, long unitsEach)
    {
        double mean = unitsEach * Mean;
        double shape = unitsEach * (Mean / StandardDeviation) * (Mean / StandardDeviation);
        double likeGamma = shape < 1e12 ? new GammaSizes(shape, mean / shape).ExpectedLongest(tasks) : mean;
        double oneLongUnit = Longest(checked((long)Math.Min((double)tasks * unitsEach, 1e18))) + (unitsEach - 1) * Mean;
        return Math.Max(likeGamma, oneLongUnit);
    }
}
