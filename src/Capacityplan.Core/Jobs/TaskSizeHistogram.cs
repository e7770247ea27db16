using System.Collections.Immutable;

namespace Capacityplan.Core.Jobs;

/// <summary>One bar of a histogram.</summary>
/// <param name="From">Where it begins, seconds.</param>
/// <param name="To">Where it ends, seconds; a duration of exactly that is in the next bar, or in this one if it is the last.</param>
/// <param name="Count">How many durations it holds.</param>
/// <param name="Share">Their share of all; from 0 to 1.</param>
public readonly record struct TaskSizeBin(double From, double To, int Count, double Share);

/// <summary>A histogram of durations, with bars of equal width in time or in the logarithm of time.</summary>
/// <remarks>
/// The width follows D. Freedman and P. Diaconis, "On the histogram as a density estimator: L2 theory", Zeitschrift für
/// Wahrscheinlichkeitstheorie 57 (1981): twice the interquartile range over the cube root of the count; without an interquartile
/// range, the count of bars follows H. A. Sturges, "The Choice of a Class Interval", JASA 21 (1926). At most
/// <see cref="MostBins"/> bars. Where many values are equal, as a coarse clock makes them, bars hold whole steps of the clock
/// each, so that they do not alternate. Bars are in the logarithm where the middle nine tenths of the durations would take up
/// less than a quarter of the width (our own choice, no source).
/// </remarks>
public sealed class TaskSizeHistogram
{
    /// <summary>The most bars.</summary>
    public const int MostBins = 60;

    // Readings of one tick may differ in their last digits once a unit has been applied.
    private const double Rounding = 1e-9;

    private TaskSizeHistogram(bool isLogarithmic, ImmutableArray<TaskSizeBin> bins)
    {
        IsLogarithmic = isLogarithmic;
        Bins = bins;
    }

    /// <summary>True where the bars have equal width in the logarithm; durations of 0 are then in no bar.</summary>
    public bool IsLogarithmic { get; }

    /// <summary>The bars, shortest durations first, without gaps.</summary>
    public ImmutableArray<TaskSizeBin> Bins { get; }

    internal static TaskSizeHistogram Of(SampleSizes sizes)
    {
        ReadOnlySpan<double> sorted = sizes.Sorted;
        int first = 0;
        double width = sorted[^1] - sorted[0];
        bool isLogarithmic = width > 0 && sizes.Between(0.95) - sizes.Between(0.05) < width / 4;
        if (isLogarithmic)
        {
            while (sorted[first] == 0)
                first++;
            isLogarithmic = sorted[^1] > 4 * sorted[first];
            first = isLogarithmic ? first : 0;
        }

        double[] edges = isLogarithmic ? LogarithmicEdges(sizes, first) : LinearEdges(sizes);
        int[] counts = new int[edges.Length - 1];
        int bin = 0;
        for (int group = first; group < sorted.Length; group++)
        {
            while (bin + 1 < counts.Length && sorted[group] >= edges[bin + 1])
                bin++;
            counts[bin] += sizes.UpTo(group) - (group == 0 ? 0 : sizes.UpTo(group - 1));
        }

        return new TaskSizeHistogram(isLogarithmic,
            [.. counts.Select((count, at) => new TaskSizeBin(edges[at], edges[at + 1], count, count / (double)sizes.Count))]);
    }

    private static double[] LogarithmicEdges(SampleSizes sizes, int first)
    {
        double low = sizes.Sorted[first], high = sizes.Sorted[^1];
        int zeros = first == 0 ? 0 : sizes.UpTo(first - 1);
        double Quartile(double share) => Math.Log(sizes.AtRank(zeros + (int)(share * (sizes.Count - zeros - 1))));
        double range = Math.Log(high) - Math.Log(low);
        int bins = Bars(range, Quartile(0.75) - Quartile(0.25), sizes.Count - zeros);
        double[] edges = new double[bins + 1];
        for (int i = 0; i <= bins; i++)
            edges[i] = Math.Exp(Math.Log(low) + range * i / bins);
        (edges[0], edges[^1]) = (low, high);
        return edges;
    }

    private static double[] LinearEdges(SampleSizes sizes)
    {
        double low = sizes.Sorted[0], high = sizes.Sorted[^1], range = high - low;
        if (!(range > Rounding * high))
            return low > 0 ? [low * 0.95, low * 1.05] : [0, 1];
        int bins = Bars(range, sizes.Between(0.75) - sizes.Between(0.25), sizes.Count);
        double width = range / bins;
        if (ClockStep(sizes) is { } step && step > width / 8)
        {
            width = Math.Max(1, Math.Round(width / step)) * step;
            while (range / width > MostBins - 1)
                width += step;
            low -= step / 2;
            bins = (int)Math.Floor((high - low) / width) + 1;
        }

        double[] edges = new double[bins + 1];
        for (int i = 0; i <= bins; i++)
            edges[i] = low + width * i;
        edges[^1] = Math.Max(edges[^1], high);
        return edges;
    }

    private static int Bars(double range, double middleHalf, int count)
    {
        double bars = middleHalf > 0 ? range / (2 * middleHalf) * Math.Cbrt(count) : Math.Log2(count) + 1;
        return (int)Math.Clamp(Math.Ceiling(bars), 1, MostBins);
    }

    /// <summary>The smallest gap between values, where most values have an equal; null elsewhere.</summary>
    private static double? ClockStep(SampleSizes sizes)
    {
        ReadOnlySpan<double> sorted = sizes.Sorted;
        double step = double.PositiveInfinity;
        int different = 1;
        for (int i = 1; i < sorted.Length; i++)
        {
            double gap = sorted[i] - sorted[i - 1];
            if (gap > Rounding * sorted[i])
            {
                step = Math.Min(step, gap);
                different++;
            }
        }

        return different <= Math.Min(sizes.Count / 2, 5_000) ? step : null;
    }
}
