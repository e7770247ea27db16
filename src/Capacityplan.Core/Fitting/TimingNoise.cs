using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>
/// The noise of timings, as standard deviations of natural logarithms. Within a sitting runs scatter by
/// <see cref="RunToRun"/>; besides, all runs of a sitting share an error of size <see cref="Sitting"/> that repeats cannot
/// average away, and further sittings can.
/// </summary>
/// <param name="RunToRun">Scatter of single runs; above 0.</param>
/// <param name="Sitting">Error shared by the runs of a sitting; above 0.</param>
public readonly record struct TimingNoise(double RunToRun, double Sitting)
{
    /// <summary>The scatter assumed before any repeat is seen, counted as <see cref="AssumedFreedom"/> degrees of freedom.</summary>
    public const double AssumedRunToRun = 0.05;

    /// <summary>What the assumed scatter weighs against repeats.</summary>
    public const double AssumedFreedom = 6;

    /// <summary>What the assumed error of a sitting weighs against sittings seen.</summary>
    public const double AssumedSittingFreedom = 4;

    /// <summary>A deviation beyond so many standard deviations counts as that many: one stray run must not widen every band.</summary>
    private const double Cap = 2.5;

    /// <summary>The variance of a median of many normal runs, against that of their mean (pi/2 in the limit, less of few).</summary>
    private const double MedianLoss = 1.3;

    /// <summary>
    /// Estimates both noises: the pooled variance of runs about their sitting's median, and of sittings about their core
    /// count's mean, deviations capped (Huber, Robust Statistics, Wiley 1981; from memory), each weighed with an assumed
    /// one. With one sitting a core count its error stays the assumed one. The sizes assumed come from a study of twelve
    /// measured fork/join programs: repeats scatter by about 4 %, and sittings differ by about 5 %.
    /// </summary>
    /// <param name="groups">The runs.</param>
    /// <param name="assumed">What is assumed before they are seen.</param>
    public static TimingNoise Estimate(IReadOnlyList<TimingGroup> groups, AssumedNoise assumed = default)
    {
        double runs = Variance(
            groups.SelectMany(group => group.Sittings).SelectMany(sitting => sitting.LogSeconds.Select(log => log - sitting.LogMedian)),
            groups.Sum(group => group.Sittings.Sum(sitting => sitting.LogSeconds.Length - 1)),
            assumed.RunToRun * assumed.RunToRun, AssumedFreedom);
        double sittings = Variance(
            groups.SelectMany(group => group.Sittings.Select(sitting => sitting.LogMedian - group.LogMedian)),
            groups.Sum(group => group.Sittings.Length - 1),
            assumed.Sitting * assumed.Sitting + runs, AssumedSittingFreedom);
        return new TimingNoise(Sqrt(runs), Sqrt(sittings));
    }

    /// <summary>Variance of a core count's log-median about the curve: the sittings' error over their number, and what is
    /// left of the runs' scatter.</summary>
    /// <param name="group">The runs of the core count.</param>
    public double VarianceOfMedian(TimingGroup group)
    {
        double left = group.Sittings.Sum(sitting => sitting.LogSeconds.Length > 1 ? MedianLoss / sitting.LogSeconds.Length : 1);
        double sittings = group.Sittings.Length;
        return (Sitting * Sitting + RunToRun * RunToRun * left / sittings) / sittings;
    }

    private static double Variance(IEnumerable<double> deviations, double freedom, double assumed, double assumedFreedom)
    {
        double[] sizes = [.. deviations.Select(Abs)];
        double variance = assumed;
        // Three rounds settle which deviations are capped in all but contrived data.
        for (int round = 0; round < 3; round++)
        {
            double cap = Cap * Sqrt(variance);
            double sum = sizes.Sum(size => Min(size, cap) * Min(size, cap));
            variance = (assumedFreedom * assumed + sum) / (assumedFreedom + freedom);
        }

        return variance;
    }
}
