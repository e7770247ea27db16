using MathNet.Numerics;

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
    public override double Survival(double seconds) =>
        seconds > 0 ? SpecialFunctions.GammaUpperRegularized(Shape, seconds / Scale) : 1;

    private protected override double Longest(long count) => count == 1 ? Mean : LongestOfMany.Mean(Survival, Mean, count);

    private protected override double LongestSum(long tasks, long unitsEach) =>
        new GammaSizes(Shape * unitsEach, Scale).ExpectedLongest(tasks);
}
