namespace Capacityplan.Core.Jobs;

/// <summary>Pareto-distributed durations between two figures: a few units hold much of the work.</summary>
public sealed record BoundedParetoSizes : TaskSizes
{
    // Share of the unbounded distribution below the upper end.
    private readonly double _kept;

    /// <summary>States the tail and both ends.</summary>
    /// <param name="alpha">Tail exponent; above 0, at most 100. The smaller, the heavier the tail.</param>
    /// <param name="min">Shortest duration, seconds; above 0.</param>
    /// <param name="max">Longest duration, seconds; above <paramref name="min"/>.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public BoundedParetoSizes(double alpha, double min, double max)
    {
        Alpha = Require.Within(Require.Positive(alpha), 0, 100);
        Min = Require.Positive(min);
        Max = Require.Above(max, min);
        _kept = -NearOne.ExpLessOne(alpha * Math.Log(min / max));
    }

    /// <summary>Tail exponent; above 0.</summary>
    public double Alpha { get; }

    /// <summary>Shortest duration, seconds; above 0.</summary>
    public double Min { get; }

    /// <summary>Longest duration, seconds; above <see cref="Min"/>.</summary>
    public double Max { get; }

    /// <inheritdoc/>
    public override double Mean => Moment(1);

    /// <inheritdoc/>
    public override double StandardDeviation => Math.Sqrt(Math.Max(0, Moment(2) - Mean * Mean));

    /// <summary>By inversion: min (1 - u (1 - (min/max)^alpha))^(-1/alpha).</summary>
    /// <param name="random">Where the randomness comes from.</param>
    public override double Sample(RandomSource random)
    {
        ArgumentNullException.ThrowIfNull(random);
        return Math.Min(Max, Min * Math.Pow(1 - random.NextUniform() * _kept, -1 / Alpha));
    }

    /// <inheritdoc/>
    public override void Fill(RandomSource random, Span<double> durations)
    {
        foreach (ref double duration in durations)
            duration = Sample(random);
    }

    /// <inheritdoc/>
    public override double Survival(double seconds) =>
        seconds <= Min ? 1 : seconds >= Max ? 0 : -NearOne.ExpLessOne(Alpha * Math.Log(seconds / Max)) * Math.Pow(Min / seconds, Alpha) / _kept;

    /// <inheritdoc/>
    public override double Cumulative(double seconds) =>
        seconds <= Min ? 0 : seconds >= Max ? 1 : -NearOne.ExpLessOne(Alpha * Math.Log(Min / seconds)) / _kept;

    /// <inheritdoc/>
    public override double LogDensity(double seconds) => seconds >= Min && seconds <= Max
        ? Math.Log(Alpha / _kept) + Alpha * Math.Log(Min / seconds) - Math.Log(seconds)
        : double.NegativeInfinity;

    private protected override double Inverse(double share) =>
        share == 1 ? Max : Math.Min(Max, Min * Math.Exp(-NearOne.LogOfOneLess(share * _kept) / Alpha));

    private protected override double Longest(long count) =>
        count == 1 ? Mean : LongestOfMany.Mean(this, Min, count);

    // E X^r = alpha min^alpha / kept x integral of x^(r - alpha - 1) from min to max.
    private double Moment(int r)
    {
        double power = r - Alpha;
        double logRatio = Math.Log(Max / Min);
        double integral = Math.Abs(power * logRatio) < 1e-12 ? logRatio : NearOne.ExpLessOne(power * logRatio) / power;
        return Alpha / _kept * Math.Pow(Min, r) * integral;
    }
}
