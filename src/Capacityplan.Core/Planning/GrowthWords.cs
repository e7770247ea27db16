using System.Globalization;
using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Planning;

/// <summary>Says how a run time grows with the input, and why it is taken so.</summary>
public static class GrowthWords
{
    /// <summary>A law with so much of the weight is as good as chosen.</summary>
    private const double Clear = 0.8;

    /// <summary>In one or two sentences.</summary>
    /// <param name="growth">What runs of several sizes say.</param>
    public static string Sentence(SizeGrowth growth)
    {
        SizeLawShare first = growth.Laws[0];
        string laws = first.Weight >= Clear
            ? $"the runs speak for {Named(first)} ({Figures.Percent(first.Weight)} of the weight)"
            : $"the runs do not tell the laws apart, so all are averaged: {string.Join(", ", growth.Laws.Select(law => $"{Named(law)} {Figures.Percent(law.Weight)}"))}";
        string rest = growth.RestShare.High < 0.4 ? "What more cores do not shorten hardly grows with it."
            : growth.RestShare.Low > 0.6 ? "What more cores do not shorten grows with it too."
            : "Whether what more cores do not shorten grows with it, they do not say.";
        return $"On one core the run time grows as the input to the power {Power(growth.Exponent.Median)} ({Power(growth.Exponent.Low)} to {Power(growth.Exponent.High)}); {laws}. {rest}";
    }

    private static string Named(SizeLawShare law) => law.Name == "power" ? "a free power" : law.Name;

    private static string Power(double value) => value.ToString("0.00", CultureInfo.InvariantCulture);
}
