namespace Capacityplan.Core.Stealing;

/// <summary>Merges the shortest segments of a run into their neighbours until few enough are left.</summary>
internal static class SegmentThinning
{
    /// <summary>Thins segments.</summary>
    /// <param name="segments">Those of each worker in order of time.</param>
    /// <param name="most">How many may be left; a worker keeps at least one a phase whatever it says.</param>
    /// <returns>The segments by worker and time, and how many of them were merged.</returns>
    public static (RunSegment[] Segments, int Merged) Thin(IEnumerable<RunSegment> segments, int most)
    {
        RunSegment[] all = [.. segments.OrderBy(segment => segment.Worker).ThenBy(segment => segment.StartSeconds)];
        if (all.Length <= most)
            return (all, 0);
        // The more count as short, the fewer are left: the smallest limit that leaves few enough is found by halving.
        double[] lengths = [.. all.Select(segment => segment.Seconds).Order()];
        int low = 0, high = lengths.Length - 1;
        while (low < high)
        {
            int middle = (low + high) / 2;
            if (Merge(all, lengths[middle], null) <= most)
                high = middle;
            else
                low = middle + 1;
        }

        var left = new List<RunSegment>();
        Merge(all, lengths[low], left);
        return ([.. left], left.Where(segment => segment.Merged > 1).Sum(segment => segment.Merged));
    }

    // Merges neighbours of one worker and phase that are no longer than the limit; counts, and fills, what is left.
    private static int Merge(RunSegment[] all, double limit, List<RunSegment>? left)
    {
        int count = 0;
        for (int i = 0; i < all.Length; count++)
        {
            RunSegment one = all[i++];
            while (i < all.Length && AreShortNeighbours(all[i - 1], all[i], limit))
            {
                one = left is null ? one : Mix(one, all[i]);
                i++;
            }

            left?.Add(one);
        }

        return count;
    }

    private static bool AreShortNeighbours(in RunSegment one, in RunSegment next, double limit) =>
        one.Worker == next.Worker && one.Phase == next.Phase && one.Seconds <= limit && next.Seconds <= limit;

    private static RunSegment Mix(in RunSegment one, in RunSegment next) => one with
    {
        Activity = RunActivity.Mixed,
        EndSeconds = next.EndSeconds,
        Time = one.Time + next.Time,
        FirstUnit = -1,
        Units = one.Units + next.Units,
        Merged = one.Merged + next.Merged,
    };
}
