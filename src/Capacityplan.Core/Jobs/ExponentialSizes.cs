using MathNet.Numerics;

namespace Capacityplan.Core.Jobs;

/// <summary>Exponentially distributed durations: many short ones, a few long ones, no memory.</summary>
public sealed record ExponentialSizes : TaskSizes
{
    private readonly double _mean;

    /// <summary>States the mean.</summary>
    /// <param name="mean">Mean duration, seconds; above 0.</param>
    /// <exception cref="ArgumentOutOfRangeException">The figure is NaN, infinite or outside its range.</exception>
    public ExponentialSizes(double mean) => _mean = Require.Positive(mean);

    /// <inheritdoc/>
    public override double Mean => _mean;

    /// <inheritdoc/>
    public override double StandardDeviation => _mean;

    /// <inheritdoc/>
    public override double Sample(RandomSource random)
    {
        ArgumentNullException.ThrowIfNull(random);
        return _mean * random.NextExponential();
    }

    /// <inheritdoc/>
    public override void Fill(RandomSource random, Span<double> durations)
    {
        foreach (ref double duration in durations)
            duration = Sample(random);
    }

    /// <inheritdoc/>
    public override double Survival(double seconds) => seconds > 0 ? Math.Exp(-seconds / _mean) : 1;

    /// <inheritdoc/>
    public override double Cumulative(double seconds) => seconds > 0 ? -NearOne.ExpLessOne(-seconds / _mean) : 0;

    /// <inheritdoc/>
    public override double LogDensity(double seconds) =>
        seconds >= 0 ? -seconds / _mean - Math.Log(_mean) : double.NegativeInfinity;

    private protected override double Inverse(double share) => -_mean * NearOne.LogOfOneLess(share);

    // The longest of n is the mean times 1 + 1/2 + ... + 1/n.
    private protected override double Longest(long count) => _mean * (SpecialFunctions.DiGamma(count + 1.0) + Constants.EulerMascheroni);

    private protected override double LongestSum(long tasks, long unitsEach) => new GammaSizes(unitsEach, _mean).ExpectedLongest(tasks);
}
