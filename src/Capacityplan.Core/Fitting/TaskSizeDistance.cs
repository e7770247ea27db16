using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Fitting;

/// <summary>How far a distribution is from a sample.</summary>
internal static class TaskSizeDistance
{
    /// <summary>
    /// Largest distance between the cumulative curves, from 0 to 1: the distance of Kolmogorov and Smirnov, except that equal
    /// values, which a clock's resolution makes, and values that stand for a group are taken to reach halfway to their neighbours.
    /// </summary>
    public static double LargestGap(SampleSizes sample, TaskSizes fitted)
    {
        ReadOnlySpan<double> sorted = sample.Sorted;
        double largest = 0;
        double count = sample.Count;
        for (int start = 0; start < sorted.Length;)
        {
            int end = start + 1;
            while (end < sorted.Length && sorted[end] == sorted[start])
                end++;
            int before = start == 0 ? 0 : sample.UpTo(start - 1);
            int upTo = sample.UpTo(end - 1);
            if (upTo - before == 1)
            {
                double here = fitted.Cumulative(sorted[start]);
                largest = Math.Max(largest, Math.Max(upTo / count - here, here - before / count));
            }
            else
            {
                if (start > 0)
                    largest = Math.Max(largest, Math.Abs(fitted.Cumulative(Halfway(sorted[start - 1], sorted[start])) - before / count));
                if (end < sorted.Length)
                    largest = Math.Max(largest, Math.Abs(fitted.Cumulative(Halfway(sorted[start], sorted[end])) - upTo / count));
            }

            start = end;
        }

        return largest;
    }

    /// <summary>Mean of the distribution over mean of the sample.</summary>
    public static double MeanRatio(SampleSizes sample, TaskSizes fitted) => fitted.Mean / sample.Mean;

    /// <summary>The same for the mean longest of some tasks.</summary>
    public static double LongestRatio(SampleSizes sample, TaskSizes fitted, int longestOf) =>
        fitted.ExpectedLongest(longestOf) / sample.ExpectedLongest(longestOf);

    private static double Halfway(double one, double next) => one + (next - one) / 2;
}
