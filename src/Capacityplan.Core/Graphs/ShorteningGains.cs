using System.Collections.Immutable;

namespace Capacityplan.Core.Graphs;

/// <summary>What shortening one task gains.</summary>
/// <param name="Task">The task, by number from 0.</param>
/// <param name="SavedSeconds">By how much its duration falls, seconds; above 0.</param>
/// <param name="SpanGainSeconds">By how much the span falls, seconds; from 0 to what is saved.</param>
public readonly record struct ShorteningGain(int Task, double SavedSeconds, double SpanGainSeconds);

/// <summary>What shortening a task of a graph gains.</summary>
/// <remarks>
/// The span falls by what is saved, but not below the longest chain that avoids the task. Lay the tasks out in an order of
/// parents before children: a chain that avoids a task lies before it, behind it, or has one edge that passes over it, so the
/// longest such chain is the largest of figures that each hold over a stretch of the order. (Derived; the difference to the
/// span is known as a critical task's drag: S. A. Devaux, "The Drag Efficient: The Missing Quantification of Time on the
/// Critical Path", Defense AT&amp;L, 2012, from memory.)
/// </remarks>
public static class ShorteningGains
{
    /// <summary>The tasks whose shortening lowers the span, the largest gain first; time proportional to (tasks + edges) log tasks.</summary>
    /// <param name="graph">The graph.</param>
    /// <param name="share">By which share of its duration a task is shortened; above 0, at most 1.</param>
    /// <param name="most">At most so many tasks; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is outside its range.</exception>
    public static ImmutableArray<ShorteningGain> OnSpan(TaskGraph graph, double share = 0.1, int most = 100)
    {
        ArgumentNullException.ThrowIfNull(graph);
        Require.Within(Require.Positive(share), 0, 1);
        Require.AtLeast(most, 1);
        // No task can save more than its duration, so chains that are shorter than the span by more than that make no difference.
        double longest = 0;
        foreach (double one in graph.Seconds)
            longest = Math.Max(longest, one);
        double[] avoiding = LongestAvoiding(graph, graph.SpanSeconds - share * longest);
        var gains = new List<ShorteningGain>();
        for (int task = 0; task < graph.Count; task++)
        {
            double saved = share * graph.Seconds[task];
            double gain = Math.Min(saved, graph.SpanSeconds - avoiding[task]);
            if (graph.SlackSeconds(task) == 0 && gain > 1e-12 * graph.SpanSeconds)
                gains.Add(new ShorteningGain(task, saved, gain));
        }

        return [.. gains.OrderByDescending(gain => gain.SpanGainSeconds).ThenBy(gain => gain.Task).Take(most)];
    }

    /// <summary>
    /// By how much the longest-remaining-first schedule on p cores gets shorter with one task shortened, seconds. Below 0 where
    /// it gets longer: a shorter task can upset a greedy schedule (R. L. Graham, "Bounds on Multiprocessing Timing Anomalies",
    /// SIAM Journal on Applied Mathematics 17(2), 1969).
    /// </summary>
    /// <param name="graph">The graph.</param>
    /// <param name="cores">p; from 1 to <see cref="GraphScheduling.MostCores"/>.</param>
    /// <param name="task">The task, by number from 0.</param>
    /// <param name="share">By which share of its duration it is shortened; above 0, at most 1.</param>
    /// <param name="cancellation">Ends it early.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is outside its range.</exception>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static double OnSchedule(TaskGraph graph, int cores, int task, double share = 0.1, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(graph);
        Require.Within(task, 0, graph.Count - 1);
        Require.Within(Require.Positive(share), 0, 1);
        double before = GraphScheduling.LongestRemainingFirst(graph, cores, cancellation).MakespanSeconds;
        TaskGraph shorter = graph.WithSeconds(task, graph.Seconds[task] * (1 - share));
        return before - GraphScheduling.LongestRemainingFirst(shorter, cores, cancellation).MakespanSeconds;
    }

    // By task: the longest chain that avoids it, seconds; shorter ones than asked for may be left out.
    private static double[] LongestAvoiding(TaskGraph graph, double shortest)
    {
        ReadOnlySpan<int> order = graph.Order;
        ReadOnlySpan<double> starts = graph.EarliestStartSeconds;
        ReadOnlySpan<double> remaining = graph.RemainingSeconds;
        double[] avoiding = new double[graph.Count];
        int[] place = new int[graph.Count];
        for (int i = 0; i < order.Length; i++)
            place[order[i]] = i;

        // Chains that end before a task's place, or begin behind it.
        double longest = 0;
        for (int i = 0; i < order.Length; i++)
        {
            avoiding[order[i]] = longest;
            longest = Math.Max(longest, starts[order[i]] + graph.Seconds[order[i]]);
        }

        longest = 0;
        for (int i = order.Length - 1; i >= 0; i--)
        {
            avoiding[order[i]] = Math.Max(avoiding[order[i]], longest);
            longest = Math.Max(longest, remaining[order[i]]);
        }

        // Edges that pass over it: the longest chain first, dropped once the place where it ends is reached.
        var over = new TaskHeap();
        for (int i = 0; i < order.Length; i++)
        {
            int task = order[i];
            while (over.Count > 0 && over.Task <= i)
                over.Pop();
            if (over.Count > 0)
                avoiding[task] = Math.Max(avoiding[task], -over.Key);
            double end = starts[task] + graph.Seconds[task];
            foreach (int child in graph.Children(task))
            {
                if (place[child] > i + 1 && end + remaining[child] >= shortest)
                    over.Push(-(end + remaining[child]), place[child]);
            }
        }

        return avoiding;
    }
}
