using System.Buffers;

namespace Capacityplan.Core;

/// <summary>
/// Orders figures by counting them into narrow ranges first, which for some thousands spread over their range takes a fraction
/// of what comparing them with each other does.
/// </summary>
internal static class Ranks
{
    /// <summary>Ranges that figures are counted into at most.</summary>
    private const int MostRanges = 1_024;

    /// <summary>The same where all are to be in order.</summary>
    private const int MostNarrow = 4_096;

    /// <summary>So few are put in order one by one.</summary>
    private const int MostByInsertion = 24;

    /// <summary>Bits of a double below the 256 steps that its doubling is cut into.</summary>
    private const int StepBits = 52 - 8;

    /// <summary>Finds the figures that have given ranks once all are in order.</summary>
    /// <param name="figures">In any order; each above 0, not NaN, perhaps infinite; one at least.</param>
    /// <param name="ranks">Places in the order, from 0; quickest where they ascend.</param>
    /// <param name="found">Receives a figure for each rank.</param>
    public static void Find(ReadOnlySpan<double> figures, ReadOnlySpan<int> ranks, Span<double> found)
    {
        double least = figures[0], most = figures[0];
        foreach (double figure in figures)
        {
            least = figure < least ? figure : least;
            most = figure > most ? figure : most;
        }

        // Bits of positive doubles are in the order of the doubles, so that ranges are as narrow for short times as for long ones.
        int shift = StepBits;
        while ((BitConverter.DoubleToInt64Bits(most) >> shift) - (BitConverter.DoubleToInt64Bits(least) >> shift) >= MostRanges)
            shift++;
        long first = BitConverter.DoubleToInt64Bits(least) >> shift;
        Span<int> counts = stackalloc int[MostRanges];
        counts.Clear();
        foreach (double figure in figures)
            counts[(int)((BitConverter.DoubleToInt64Bits(figure) >> shift) - first)]++;

        double[] within = ArrayPool<double>.Shared.Rent(figures.Length);
        int range = 0, below = 0, gathered = -1;
        for (int i = 0; i < ranks.Length; i++)
        {
            if (ranks[i] < below)
                (range, below) = (0, 0);
            while (below + counts[range] <= ranks[i])
                below += counts[range++];
            if (gathered != range)
            {
                gathered = range;
                int count = 0;
                foreach (double figure in figures)
                {
                    within[count] = figure;
                    count += (BitConverter.DoubleToInt64Bits(figure) >> shift) - first == range ? 1 : 0;
                    if (count == counts[range])
                        break;
                }

                SortFew(within.AsSpan(0, count));
            }

            found[i] = within[ranks[i] - below];
        }

        ArrayPool<double>.Shared.Return(within);
    }

    /// <summary>Puts figures in ascending order.</summary>
    /// <param name="figures">Finite.</param>
    public static void Sort(Span<double> figures)
    {
        Span<int> ends = stackalloc int[Math.Min(figures.Length, MostNarrow) + 1];
        if (!Scatter(figures, ends))
        {
            figures.Sort();
            return;
        }

        for (int range = 0; range + 1 < ends.Length; range++)
            SortFew(figures[ends[range]..ends[range + 1]]);
    }

    /// <summary>Gathers figures in as many layers of equal number, the smallest in the first, and gives the mean of each.</summary>
    /// <param name="figures">Finite; so many that the layers divide them. Moved about.</param>
    /// <param name="means">Receives the means, ascending.</param>
    public static void LayerMeans(Span<double> figures, Span<double> means)
    {
        int each = figures.Length / means.Length;
        Span<int> ends = stackalloc int[Math.Min(figures.Length, MostNarrow) + 1];
        if (Scatter(figures, ends))
        {
            // Order matters only where a layer ends within a range.
            for (int range = 0; range + 1 < ends.Length; range++)
            {
                if (ends[range] / each < (ends[range + 1] - 1) / each)
                    SortFew(figures[ends[range]..ends[range + 1]]);
            }
        }

        for (int layer = 0; layer < means.Length; layer++)
        {
            double sum = 0;
            foreach (double figure in figures.Slice(layer * each, each))
                sum += figure;
            means[layer] = sum / each;
        }
    }

    /// <summary>Puts figures in the order of the narrow ranges they lie in; false, and does nothing, where all are alike.</summary>
    /// <param name="figures">The figures.</param>
    /// <param name="starts">Receives where each range starts, and their number; one more than there are to be ranges.</param>
    private static bool Scatter(Span<double> figures, Span<int> starts)
    {
        double least = double.PositiveInfinity, most = double.NegativeInfinity;
        foreach (double figure in figures)
        {
            least = figure < least ? figure : least;
            most = figure > most ? figure : most;
        }

        int ranges = starts.Length - 1;
        double scale = (ranges - 1) / (most - least);
        if (!(scale > 0 && scale < double.PositiveInfinity))
            return false;
        double[] scattered = ArrayPool<double>.Shared.Rent(figures.Length);
        starts.Clear();
        foreach (double figure in figures)
            starts[(int)((figure - least) * scale)]++;
        for (int range = 1; range < starts.Length; range++)
            starts[range] += starts[range - 1];
        // From the end of each range to its beginning.
        foreach (double figure in figures)
            scattered[--starts[(int)((figure - least) * scale)]] = figure;
        scattered.AsSpan(0, figures.Length).CopyTo(figures);
        ArrayPool<double>.Shared.Return(scattered);
        return true;
    }

    private static void SortFew(Span<double> figures)
    {
        if (figures.Length > MostByInsertion)
        {
            figures.Sort();
            return;
        }

        for (int i = 1; i < figures.Length; i++)
        {
            double figure = figures[i];
            int at = i;
            for (; at > 0 && figures[at - 1] > figure; at--)
                figures[at] = figures[at - 1];
            figures[at] = figure;
        }
    }
}
