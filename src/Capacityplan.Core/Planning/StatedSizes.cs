using System.Globalization;
using Capacityplan.Core.Jobs;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>States a distribution of task durations in the blanks of a phase.</summary>
public static class StatedSizes
{
    /// <summary>The 95 % quantile of the standard normal distribution.</summary>
    internal const double NormalQuantile95 = 1.6448536269514722;

    /// <summary>A phase with its durations stated as a distribution, its figures rounded to five digits; the sample's text is kept.</summary>
    /// <param name="phase">The phase.</param>
    /// <param name="sizes">The distribution; anything but a sample.</param>
    /// <exception cref="ArgumentException">It is a sample, which no blank can state.</exception>
    public static PhaseDraft With(PhaseDraft phase, TaskSizes sizes)
    {
        ArgumentNullException.ThrowIfNull(phase);
        return sizes switch
        {
            ConstantSizes constant => phase with { Sizes = UnitDistribution.Constant, EachTakes = Written(constant.Value) },
            UniformSizes uniform => phase with { Sizes = UnitDistribution.Uniform, Shortest = Written(uniform.Min), Longest = Written(uniform.Max) },
            ExponentialSizes => phase with { Sizes = UnitDistribution.Exponential, Mean = Written(sizes.Mean) },
            GammaSizes => phase with { Sizes = UnitDistribution.Gamma, Mean = Written(sizes.Mean), StandardDeviation = Written(sizes.StandardDeviation) },
            LognormalSizes lognormal => phase with
            {
                Sizes = UnitDistribution.Lognormal,
                Median = Written(Exp(lognormal.Mu)),
                NearlyAllWithin = Written(Exp(lognormal.Mu + NormalQuantile95 * lognormal.Sigma)),
            },
            BoundedParetoSizes pareto => phase with
            {
                Sizes = UnitDistribution.BoundedPareto,
                Shortest = Written(pareto.Min),
                Longest = Written(pareto.Max),
                Alpha = pareto.Alpha.ToString("G5", CultureInfo.InvariantCulture),
            },
            _ => throw new ArgumentException("A sample has no blanks of its own to be stated in.", nameof(sizes)),
        };
    }

    private static string Written(double seconds)
    {
        (double size, string unit) = seconds switch
        {
            0 => (1, "s"),
            < 1e-6 => (1e-9, "ns"),
            < 1e-3 => (1e-6, "us"),
            < 1 => (1e-3, "ms"),
            < 600 => (1, "s"),
            _ => (60, "min"),
        };
        double value = seconds / size;
        int digits = value > 0 ? Clamp(4 - (int)Floor(Log10(value)), 0, 9) : 0;
        return value.ToString("0." + new string('#', digits), CultureInfo.InvariantCulture) + " " + unit;
    }
}
