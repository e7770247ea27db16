namespace Capacityplan.Core.Jobs;

/// <summary>Gamma-distributed durations.</summary>
public sealed record GammaSizes : TaskSizes
{
    /// <summary>States shape and scale.</summary>
    /// <param name="shape">Shape; above 0. Small shapes are very uneven, large ones nearly constant.</param>
    /// <param name="scale">Scale, seconds; above 0.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public GammaSizes(double shape, double scale)
    {
        Shape = Require.Positive(shape);
        Scale = Require.Positive(scale);
    }

    /// <summary>Shape; above 0.</summary>
    public double Shape { get; }

    /// <summary>Scale, seconds; above 0.</summary>
    public double Scale { get; }

    /// <inheritdoc/>
    public override double Mean => Shape * Scale;

    /// <inheritdoc/>
    public override double StandardDeviation => Math.Sqrt(Shape) * Scale;

    /// <inheritdoc/>
    public override double Sample(RandomSource random)
    {
        ArgumentNullException.ThrowIfNull(random);
        return Scale * random.NextGamma(Shape);
    }

    /// <inheritdoc/>
    public override void Fill(RandomSource random, Span<double> durations)
    {
        foreach (ref double duration in durations)
            duration = Sample(random);
    }

    /// <inheritdoc/>
    public override double Survival(double seconds) => seconds > 0 ? IncompleteGamma.Upper(Shape, seconds / Scale) : 1;

    /// <inheritdoc/>
    public override double Cumulative(double seconds) => seconds > 0 ? IncompleteGamma.Lower(Shape, seconds / Scale) : 0;

    /// <inheritdoc/>
    public override double LogDensity(double seconds)
    {
        // At 0 the density is infinite, 1/scale or 0 as the shape is below, at or above 1.
        if (!(seconds > 0))
            return seconds < 0 || Shape > 1 ? double.NegativeInfinity : Shape < 1 ? double.PositiveInfinity : -Math.Log(Scale);
        double ratio = seconds / Scale / Shape;
        return IncompleteGamma.StirlingRest(Shape) - Shape * IncompleteGamma.AboveItsLogarithm(ratio) - Math.Log(seconds);
    }

    private protected override double Inverse(double share) => Scale * IncompleteGamma.InverseLower(Shape, share);

    private protected override double Longest(long count) => count == 1 ? Mean : LongestOfMany.Mean(this, Mean, count);

    private protected override double LongestSum(long tasks, long unitsEach) =>
        new GammaSizes(Shape * unitsEach, Scale).ExpectedLongest(tasks);
}
