namespace Capacityplan.Core.Jobs;

/// <summary>Every unit takes the same time.</summary>
public sealed record ConstantSizes : TaskSizes
{
    /// <summary>States the duration.</summary>
    /// <param name="value">Duration of each unit, seconds; above 0.</param>
    /// <exception cref="ArgumentOutOfRangeException">The figure is NaN, infinite or outside its range.</exception>
    public ConstantSizes(double value) => Value = Require.Positive(value);

    /// <summary>Duration of each unit, seconds; above 0.</summary>
    public double Value { get; }

    /// <inheritdoc/>
    public override double Mean => Value;

    /// <inheritdoc/>
    public override double StandardDeviation => 0;

    /// <inheritdoc/>
    public override double Sample(RandomSource random) => Value;

    /// <inheritdoc/>
    public override void Fill(RandomSource random, Span<double> durations) => durations.Fill(Value);

    /// <inheritdoc/>
    public override double Survival(double seconds) => seconds < Value ? 1 : 0;

    /// <inheritdoc/>
    public override double LogDensity(double seconds) => seconds == Value ? 0 : double.NegativeInfinity;

    private protected override double Inverse(double share) => Value;

    private protected override double Longest(long count) => Value;

    private protected override double LongestSum(long tasks, long unitsEach) => unitsEach * Value;
}
