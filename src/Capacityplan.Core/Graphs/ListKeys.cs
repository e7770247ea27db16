namespace Capacityplan.Core.Graphs;

/// <summary>Rules for which ready task a list schedule takes, as keys of which the smallest is taken.</summary>
internal static class ListKeys
{
    /// <summary>Longest remaining chain first, its own duration included.</summary>
    public static double[] LongestRemaining(TaskGraph graph) => Of(graph, (task, _) => -graph.RemainingSeconds[task]);

    /// <summary>Likewise; of equally long chains the task with more children to set free.</summary>
    public static double[] LongestRemainingThenChildren(TaskGraph graph) =>
        Of(graph, (task, step) => -graph.RemainingSeconds[task] - step * graph.Children(task).Length / (1.0 + graph.Count));

    /// <summary>Longest remaining chain, and the work of its children's chains beside the longest counted a little.</summary>
    public static double[] RemainingWork(TaskGraph graph, int cores)
    {
        double[] weight = new double[graph.Count];
        for (int i = graph.Count - 1; i >= 0; i--)
        {
            int task = graph.Order[i];
            double longest = 0, sum = 0;
            foreach (int child in graph.Children(task))
            {
                // A child that waits for several is shared between them.
                double share = weight[child] / graph.Parents(child).Length;
                sum += share;
                longest = Math.Max(longest, weight[child]);
            }

            weight[task] = graph.Seconds[task] + Math.Max(longest, sum / cores);
        }

        return Of(graph, (task, _) => -weight[task]);
    }

    /// <summary>Longest duration first.</summary>
    public static double[] LongestTask(TaskGraph graph) => Of(graph, (task, _) => -graph.Seconds[task]);

    /// <summary>Longest chain through the task first, then longest remaining: the least slack.</summary>
    public static double[] LeastSlack(TaskGraph graph) => Of(graph, (task, step) => graph.SlackSeconds(task) - step * graph.RemainingSeconds[task] / (graph.SpanSeconds + 1));

    /// <summary>For schedules made backwards: the longest chain before a task, its own duration included, first.</summary>
    public static double[] LongestBefore(TaskGraph graph) =>
        Of(graph, (task, _) => -graph.EarliestStartSeconds[task] - graph.Seconds[task]);

    private static double[] Of(TaskGraph graph, Func<int, double, double> key)
    {
        // A difference too small to overrule anything but a tie.
        double step = 1e-9 * (graph.SpanSeconds > 0 ? graph.SpanSeconds : 1);
        double[] keys = new double[graph.Count];
        for (int task = 0; task < keys.Length; task++)
            keys[task] = key(task, step);
        return keys;
    }
}
