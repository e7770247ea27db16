namespace Capacityplan.Core.Jobs;

/// <summary>What a sample of task durations looks like. Times are in seconds.</summary>
/// <remarks>
/// Of a sample condensed by rank (<see cref="SampleSizes.Condense"/>) the count, the zeros, the mean, both ends, the 99.9 %
/// quantile and the share of the longest are those of all values as far as the 5,000 longest reach; the rest is off by less
/// than the length of a group.
/// </remarks>
public sealed record TaskSizeSummary
{
    private TaskSizeSummary(SampleSizes sizes)
    {
        Count = sizes.Count;
        Min = sizes.AtRank(0);
        Max = sizes.AtRank(Count - 1);
        Mean = sizes.Mean;
        StandardDeviation = sizes.StandardDeviation;
        Zeros = (int)Math.Round((1 - sizes.Survival(0)) * Count);
        P05 = sizes.Between(0.05);
        P25 = sizes.Between(0.25);
        Median = sizes.Between(0.5);
        P75 = sizes.Between(0.75);
        P95 = sizes.Between(0.95);
        P99 = sizes.Between(0.99);
        P999 = sizes.Between(0.999);
        LongestCount = (Count - 1) / 100 + 1;
        LongestShare = WorkFrom(sizes, Count - LongestCount) / (Mean * Count);
        Histogram = TaskSizeHistogram.Of(sizes);
    }

    /// <summary>How many durations there are.</summary>
    public int Count { get; }

    /// <summary>How many of them are 0.</summary>
    public int Zeros { get; }

    /// <summary>The shortest, seconds.</summary>
    public double Min { get; }

    /// <summary>The longest, seconds.</summary>
    public double Max { get; }

    /// <summary>The mean, seconds.</summary>
    public double Mean { get; }

    /// <summary>The standard deviation of these durations (divided by their count, not by one less), seconds.</summary>
    public double StandardDeviation { get; }

    /// <summary>Standard deviation over mean: 0 for equal tasks, 1 for exponential ones.</summary>
    public double CoefficientOfVariation => StandardDeviation / Mean;

    /// <summary>5 % quantile, seconds; all quantiles are definition 7 of Hyndman and Fan, "Sample Quantiles in Statistical Packages".</summary>
    public double P05 { get; }

    /// <summary>25 % quantile, seconds.</summary>
    public double P25 { get; }

    /// <summary>50 % quantile, seconds.</summary>
    public double Median { get; }

    /// <summary>75 % quantile, seconds.</summary>
    public double P75 { get; }

    /// <summary>95 % quantile, seconds.</summary>
    public double P95 { get; }

    /// <summary>99 % quantile, seconds.</summary>
    public double P99 { get; }

    /// <summary>99.9 % quantile, seconds.</summary>
    public double P999 { get; }

    /// <summary>How many tasks the longest 1 % are, at least one.</summary>
    public int LongestCount { get; }

    /// <summary>Share of the total work that is in the longest 1 % of the tasks; from 0 to 1.</summary>
    public double LongestShare { get; }

    /// <summary>How the durations spread.</summary>
    public TaskSizeHistogram Histogram { get; }

    /// <summary>Describes a sample.</summary>
    /// <param name="sizes">The sample, condensed or not.</param>
    public static TaskSizeSummary Of(SampleSizes sizes)
    {
        ArgumentNullException.ThrowIfNull(sizes);
        return new TaskSizeSummary(sizes);
    }

    private static double WorkFrom(SampleSizes sizes, int rank)
    {
        var work = new CarriedSum();
        ReadOnlySpan<double> sorted = sizes.Sorted;
        for (int group = sorted.Length - 1; group >= 0 && sizes.UpTo(group) > rank; group--)
        {
            int from = Math.Max(rank, group == 0 ? 0 : sizes.UpTo(group - 1));
            work.Add(sorted[group] * (sizes.UpTo(group) - from));
        }

        return work.Total;
    }
}
