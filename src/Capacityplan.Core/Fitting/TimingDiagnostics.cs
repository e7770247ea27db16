using System.Collections.Immutable;
using Capacityplan.Core.Laws;
using MathNet.Numerics.LinearAlgebra;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>How the experimental serial fraction moves with the cores, the noise allowed for.</summary>
public enum SerialFractionTrend
{
    /// <summary>Nothing on one core, or fewer than two core counts besides.</summary>
    Unknown,

    /// <summary>Flat within the noise: serial work holds the job back, as far as it was measured.</summary>
    Flat,

    /// <summary>Rising: overhead or contention that grows with the cores.</summary>
    Rising,

    /// <summary>Falling: a cost paid once work is shared at all, or caches that more cores bring.</summary>
    Falling,
}

/// <summary>One measured core count against the fit.</summary>
/// <param name="Cores">Cores as stated.</param>
/// <param name="CoresWorth">What they are worth in physical cores.</param>
/// <param name="OffTheCurve">Typical time over the median curve, less 1.</param>
/// <param name="Error">Standard deviation of the logarithm of the typical time, by noise alone.</param>
/// <param name="Trust">What it weighs against one in line with the others; above 0, at most 1.</param>
/// <param name="SerialFraction">Experimental serial fraction against one core (Karp and Flatt); null on one core or where one core was not measured.</param>
/// <param name="SerialFractionError">Its standard deviation by noise; null with it.</param>
/// <param name="IsSuperlinear">Faster than the cores alone give, beyond the noise, against the fewest cores measured.</param>
public sealed record CoreCountDiagnosis(
    int Cores, double CoresWorth, double OffTheCurve, double Error, double Trust, double? SerialFraction, double? SerialFractionError, bool IsSuperlinear)
{
    /// <summary>A core count that weighs less than half strays from the others; it is kept.</summary>
    public bool IsStray => Trust < 0.5;
}

/// <summary>What the timings say besides the forecast: what a performance engineer looks at first.</summary>
public sealed record TimingDiagnostics
{
    /// <summary>One in twenty on one side: what counts as beyond the noise.</summary>
    private const double BeyondNoise = 1.645;

    private TimingDiagnostics(MeasuredScaling scaling)
    {
        double[] variances = [.. scaling.Groups.Select(group => scaling.ScatterSeen * scaling.ScatterSeen * scaling.Noise.VarianceOfMedian(group))];
        CoreCounts = [.. scaling.Groups.Select((group, index) => Diagnose(scaling, group, variances[0], variances[index], scaling.Trust[index]))];
        Noise = scaling.Noise;
        Repeats = scaling.Repeats;
        FurtherSittings = scaling.FurtherSittings;
        SaturationWeight = scaling.SaturationWeight;
        ScatterSeen = scaling.ScatterSeen;
        RateWeight = scaling.RateWeight;
        Knee = scaling.Knee();
        LeftOutCoreCounts = ModelComparison.LeftOut(scaling.Groups.Length);
        SharedCoresFrom = scaling.Groups.FirstOrDefault(group => group.CoresWorth < group.Cores)?.Cores;
        (Trend, TrendPerDoubling) = TrendOf(scaling.Groups, variances);
    }

    /// <summary>The measured core counts, ascending.</summary>
    public ImmutableArray<CoreCountDiagnosis> CoreCounts { get; }

    /// <summary>The noise of runs and of sittings.</summary>
    public TimingNoise Noise { get; }

    /// <summary>What core counts are off the curve, over what the noise would leave: below 1 where five or more lie closer to it.</summary>
    public double ScatterSeen { get; }

    /// <summary>How many repeats the noise of runs was seen in; with 0 it is assumed.</summary>
    public int Repeats { get; }

    /// <summary>How many sittings besides the first of each core count their error was seen in; with 0 it is assumed.</summary>
    public int FurtherSittings { get; }

    /// <summary>How the experimental serial fraction moves.</summary>
    public SerialFractionTrend Trend { get; }

    /// <summary>What a doubling of the cores adds to it; null where unknown.</summary>
    public double? TrendPerDoubling { get; }

    /// <summary>Share of the models with a resource that saturates.</summary>
    public double SaturationWeight { get; }

    /// <summary>The part of it with a shared rate, as of memory.</summary>
    public double RateWeight { get; }

    /// <summary>The core count at which it saturates, as the models that have such a resource place it; the band holds 80 of
    /// 100 of their curves. Null where none of them has any weight.</summary>
    public Band? Knee { get; }

    /// <summary>How many of the largest core counts each model was fitted without, to see how far off it forecasts them; 0
    /// where too few would be left.</summary>
    public int LeftOutCoreCounts { get; }

    /// <summary>Whether a resource that saturates (a lock, memory) explains the timings better than all else.</summary>
    public bool SaturationSuspected => SaturationWeight > 0.5;

    /// <summary>The fewest measured cores that are hardware threads sharing a core; null where none are.</summary>
    public int? SharedCoresFrom { get; }

    /// <summary>Reads a fit.</summary>
    /// <param name="scaling">The fit.</param>
    public static TimingDiagnostics Of(MeasuredScaling scaling) => new(scaling);

    private static CoreCountDiagnosis Diagnose(MeasuredScaling scaling, TimingGroup group, double firstVariance, double variance, double trust)
    {
        TimingGroup first = scaling.Groups[0];
        double[] seconds = new double[scaling.DrawCount];
        scaling.CurveSeconds(group.CoresWorth, seconds);
        double curve = MathNet.Numerics.Statistics.Statistics.Median(seconds);
        double error = Sqrt(firstVariance + variance);
        double logSpeedup = first.LogMedian - group.LogMedian;
        bool further = group.CoresWorth > first.CoresWorth;
        bool fraction = further && first.CoresWorth == 1;
        return new CoreCountDiagnosis(
            group.Cores, group.CoresWorth, Exp(group.LogMedian) / curve - 1, Sqrt(variance), trust,
            fraction ? KarpFlatt.SerialFraction(Exp(logSpeedup), group.CoresWorth) : null,
            fraction ? Slope(logSpeedup, group.CoresWorth) * error : null,
            further && logSpeedup - Log(group.CoresWorth / first.CoresWorth) > BeyondNoise * error);
    }

    /// <summary>What the serial fraction changes by for a small change of a log-time.</summary>
    private static double Slope(double logSpeedup, double cores) => Exp(-logSpeedup) / (1 - 1 / cores);

    /// <summary>
    /// The line through the fractions against log2 p by generalised least squares: all share the error of the run on one core.
    /// </summary>
    private static (SerialFractionTrend Trend, double? PerDoubling) TrendOf(ImmutableArray<TimingGroup> groups, double[] variances)
    {
        int n = groups.Length - 1;
        if (groups[0].CoresWorth != 1 || n < 2)
            return (SerialFractionTrend.Unknown, null);
        double[] logSpeedups = [.. groups.Skip(1).Select(group => groups[0].LogMedian - group.LogMedian)];
        double[] slopes = [.. logSpeedups.Select((log, i) => Slope(log, groups[i + 1].CoresWorth))];
        Vector<double> fractions = Vector<double>.Build.Dense(n, i => KarpFlatt.SerialFraction(Exp(logSpeedups[i]), groups[i + 1].CoresWorth));
        Matrix<double> covariance = Matrix<double>.Build.Dense(
            n, n, (i, j) => slopes[i] * slopes[j] * (variances[0] + (i == j ? variances[i + 1] : 0)));
        Matrix<double> line = Matrix<double>.Build.Dense(n, 2, (i, j) => j == 0 ? 1 : Log2(groups[i + 1].CoresWorth));
        Matrix<double> weighed = line.TransposeThisAndMultiply(covariance.Inverse());
        Matrix<double> spread = (weighed * line).Inverse();
        double perDoubling = (spread * (weighed * fractions))[1];
        double error = Sqrt(spread[1, 1]);
        // A fraction known to next to nothing (a time a million million times too short) leaves no line to tell.
        if (!double.IsFinite(perDoubling) || !double.IsFinite(error))
            return (SerialFractionTrend.Unknown, null);
        return (
            perDoubling > BeyondNoise * error ? SerialFractionTrend.Rising
            : perDoubling < -BeyondNoise * error ? SerialFractionTrend.Falling : SerialFractionTrend.Flat,
            perDoubling);
    }
}
