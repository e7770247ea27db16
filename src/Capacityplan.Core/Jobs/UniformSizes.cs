namespace Capacityplan.Core.Jobs;

/// <summary>Durations spread evenly between two figures.</summary>
public sealed record UniformSizes : TaskSizes
{
    /// <summary>States both ends.</summary>
    /// <param name="min">Shortest duration, seconds; 0 or more.</param>
    /// <param name="max">Longest duration, seconds; above <paramref name="min"/>.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public UniformSizes(double min, double max)
    {
        Min = Require.NotNegative(min);
        Max = Require.Above(max, min);
    }

    /// <summary>Shortest duration, seconds; 0 or more.</summary>
    public double Min { get; }

    /// <summary>Longest duration, seconds; above <see cref="Min"/>.</summary>
    public double Max { get; }

    /// <inheritdoc/>
    public override double Mean => Min + (Max - Min) / 2;

    /// <inheritdoc/>
    public override double StandardDeviation => (Max - Min) / Math.Sqrt(12);

    /// <inheritdoc/>
    public override double Sample(RandomSource random) => Min + (Max - Min) * random.NextUniform();

    /// <inheritdoc/>
    public override void Fill(RandomSource random, Span<double> durations)
    {
        foreach (ref double duration in durations)
            duration = Sample(random);
    }

    /// <inheritdoc/>
    public override double Survival(double seconds) => Math.Clamp((Max - seconds) / (Max - Min), 0, 1);

    /// <inheritdoc/>
    public override double Cumulative(double seconds) => Math.Clamp((seconds - Min) / (Max - Min), 0, 1);

    /// <inheritdoc/>
    public override double LogDensity(double seconds) =>
        seconds >= Min && seconds <= Max ? -Math.Log(Max - Min) : double.NegativeInfinity;

    private protected override double Inverse(double share) => share == 1 ? Max : Min + (Max - Min) * share;

    private protected override double Longest(long count) => Min + (Max - Min) * (count / (count + 1.0));
}
