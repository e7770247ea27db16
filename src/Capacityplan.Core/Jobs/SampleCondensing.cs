namespace Capacityplan.Core.Jobs;

/// <summary>Takes a large sample together into groups.</summary>
internal static class SampleCondensing
{
    private const int LongestKept = 5_000;
    private const int ShortestKept = 1_000;

    /// <summary>At most <see cref="SampleSizes.MostGroups"/> durations, shortest first, with how many each stands for.</summary>
    /// <param name="values">More than that many durations, each 0 or more; they are put in order.</param>
    public static (double[] Values, int[] Counts) Of(double[] values)
    {
        Array.Sort(values);
        return Different(values) <= SampleSizes.MostGroups ? ByValue(values) : ByRank(values);
    }

    private static int Different(double[] sorted)
    {
        int different = 1;
        for (int i = 1; i < sorted.Length; i++)
            different += sorted[i] != sorted[i - 1] ? 1 : 0;
        return different;
    }

    private static (double[], int[]) ByValue(double[] sorted)
    {
        var values = new List<double>();
        var counts = new List<int>();
        for (int start = 0; start < sorted.Length;)
        {
            int end = start + 1;
            while (end < sorted.Length && sorted[end] == sorted[start])
                end++;
            values.Add(sorted[start]);
            counts.Add(end - start);
            start = end;
        }

        return ([.. values], [.. counts]);
    }

    private static (double[], int[]) ByRank(double[] sorted)
    {
        int zeros = 0;
        while (sorted[zeros] == 0)
            zeros++;
        int from = zeros + ShortestKept;
        int middle = sorted.Length - LongestKept - from;
        int groups = SampleSizes.MostGroups - LongestKept - ShortestKept - (zeros > 0 ? 1 : 0);
        double[] values = new double[SampleSizes.MostGroups];
        int[] counts = new int[SampleSizes.MostGroups];
        Array.Fill(counts, 1);
        int at = 0;
        if (zeros > 0)
            counts[at++] = zeros;
        foreach (double value in sorted.AsSpan(zeros, ShortestKept))
            values[at++] = value;
        for (int group = 0; group < groups; group++)
        {
            int start = from + (int)((long)group * middle / groups);
            int end = from + (int)((group + 1L) * middle / groups);
            double sum = 0;
            foreach (double value in sorted.AsSpan(start, end - start))
                sum += value;
            values[at] = sum / (end - start);
            counts[at++] = end - start;
        }

        sorted.AsSpan(sorted.Length - LongestKept).CopyTo(values.AsSpan(at));
        return (values, counts);
    }
}
