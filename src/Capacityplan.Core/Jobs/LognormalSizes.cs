using MathNet.Numerics;

namespace Capacityplan.Core.Jobs;

/// <summary>Durations whose logarithm is normally distributed.</summary>
public sealed record LognormalSizes : TaskSizes
{
    /// <summary>States mean and standard deviation of the logarithm of the seconds.</summary>
    /// <param name="mu">Mean of the natural logarithm of the duration in seconds; from -100 to 100.</param>
    /// <param name="sigma">Standard deviation of that logarithm; above 0, at most 10.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN or outside its range.</exception>
    public LognormalSizes(double mu, double sigma)
    {
        Mu = Require.Within(mu, -100, 100);
        Sigma = Require.Within(Require.Positive(sigma), 0, 10);
    }

    /// <summary>Mean of the natural logarithm of the duration in seconds.</summary>
    public double Mu { get; }

    /// <summary>Standard deviation of that logarithm; above 0.</summary>
    public double Sigma { get; }

    /// <inheritdoc/>
    public override double Mean => Math.Exp(Mu + Sigma * Sigma / 2);

    /// <inheritdoc/>
    public override double StandardDeviation => Mean * Math.Sqrt(NearOne.ExpLessOne(Sigma * Sigma));

    /// <inheritdoc/>
    public override double Sample(RandomSource random)
    {
        ArgumentNullException.ThrowIfNull(random);
        return Math.Exp(Mu + Sigma * random.NextNormal());
    }

    /// <inheritdoc/>
    public override void Fill(RandomSource random, Span<double> durations)
    {
        foreach (ref double duration in durations)
            duration = Sample(random);
    }

    /// <inheritdoc/>
    public override double Survival(double seconds) =>
        seconds > 0 ? 0.5 * SpecialFunctions.Erfc((Math.Log(seconds) - Mu) / (Sigma * Constants.Sqrt2)) : 1;

    /// <inheritdoc/>
    public override double Cumulative(double seconds) =>
        seconds > 0 ? 0.5 * SpecialFunctions.Erfc((Mu - Math.Log(seconds)) / (Sigma * Constants.Sqrt2)) : 0;

    /// <inheritdoc/>
    public override double LogDensity(double seconds)
    {
        if (!(seconds > 0))
            return double.NegativeInfinity;
        double z = (Math.Log(seconds) - Mu) / Sigma;
        return -0.5 * z * z - Math.Log(seconds) - Math.Log(Sigma) - Constants.LogSqrt2Pi;
    }

    private protected override double Inverse(double share) => share switch
    {
        0 => 0,
        1 => double.PositiveInfinity,
        _ => Math.Exp(Mu - Sigma * Constants.Sqrt2 * SpecialFunctions.ErfcInv(2 * share)),
    };

    private protected override double Longest(long count) =>
        count == 1 ? Mean : LongestOfMany.Mean(this, Math.Exp(Mu), count);
}
