using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>
/// The families side by side as plain least squares has them, beside the weights that carry the forecast: Akaike's criterion
/// for few points, and the error of the largest core counts forecast without them.
/// </summary>
/// <remarks>
/// AICc = n ln(RSS/n) + 2 K + 2 K (K + 1)/(n - K - 1), K counting T1 and the scatter: Burnham and Anderson, "Model Selection
/// and Multimodel Inference", Springer, 2nd edition 2002. n is the number of core counts (with several input sizes, of
/// pairs), since repeats share what their core count is off; RSS is of the logarithms.
/// </remarks>
internal static class ModelComparison
{
    /// <summary>Timings are no more exact than this: residuals of nothing would make one family infinitely better.</summary>
    private const double LeastScatter = 0.001;

    /// <summary>Noise so small that beliefs do not count: the best fit is then that of least squares.</summary>
    private const double NoBeliefs = 1e-4;

    /// <summary>AICc by family.</summary>
    /// <param name="points">The points.</param>
    /// <param name="family">The family.</param>
    /// <param name="law">How it grows with the input; null where all have the planned one.</param>
    /// <returns>Null where there are too few points.</returns>
    public static double? Aicc(FittedPoints points, ScalingFamily family, SizeLaw? law)
    {
        int n = points.Cores.Length;
        int parameters = family.Dimensions + (law?.Dimensions ?? 0) + 2;
        if (n < parameters + 2)
            return null;
        var covariance = new TimingCovariance(points.Cores, [.. points.Cores.Select(_ => NoBeliefs * NoBeliefs)], scale: 0);
        FamilyBest best = new FamilyFit(family, law, points).Best(covariance);
        double mean = best.Residuals.Sum(residual => Pow(residual - best.Level, 2)) / n;
        return n * Log(Max(mean, LeastScatter * LeastScatter)) + 2 * parameters + 2.0 * parameters * (parameters + 1) / (n - parameters - 1);
    }

    /// <summary>How many of the measured core counts, the largest ones, are left out: a quarter, one at least.</summary>
    /// <param name="coreCounts">How many there are.</param>
    public static int LeftOut(int coreCounts) => coreCounts < 3 ? 0 : Max(1, coreCounts / 4);

    /// <summary>Root mean square of the log-errors at the largest core counts, forecast by a family fitted without them.</summary>
    /// <param name="groups">All points, ascending by cores.</param>
    /// <param name="variances">Their noise.</param>
    /// <param name="family">The family.</param>
    /// <param name="law">How it grows with the input; null where all have the planned one.</param>
    public static double? LeftOutError(IReadOnlyList<TimingGroup> groups, IReadOnlyList<double> variances, ScalingFamily family, SizeLaw? law)
    {
        double[] counts = [.. groups.Select(group => group.CoresWorth).Distinct()];
        if (LeftOut(counts.Length) is not (> 0 and var left))
            return null;
        int kept = groups.Count(group => group.CoresWorth <= counts[^(left + 1)]);
        var points = FittedPoints.Of([.. groups.Take(kept)]);
        var covariance = new TimingCovariance(points.Cores, [.. variances.Take(kept)]);
        FamilyBest best = new FamilyFit(family, law, points).Best(covariance);
        return Sqrt(groups.Skip(kept).Average(group => Pow(best.LogSeconds(group.CoresWorth, group.Size) - group.LogMedian, 2)));
    }
}
