using Capacityplan.Core.Graphs;

namespace Capacityplan.Core.Tests.Graphs;

/// <summary>Graphs to check properties on.</summary>
internal static class RandomGraphs
{
    /// <summary>Tasks in an order that is not that of their numbers; a share of them takes no time.</summary>
    /// <param name="random">Draws them.</param>
    /// <param name="tasks">How many tasks.</param>
    /// <param name="density">The chance of an edge between two tasks.</param>
    /// <param name="isWhole">True for whole seconds.</param>
    public static TaskGraph Draw(RandomSource random, int tasks, double density, bool isWhole = false)
    {
        int[] places = [.. Enumerable.Range(0, tasks)];
        for (int i = tasks - 1; i > 0; i--)
        {
            int j = random.NextIndex(i + 1);
            (places[i], places[j]) = (places[j], places[i]);
        }

        var edges = new List<(int, int)>();
        for (int i = 0; i < tasks; i++)
        {
            for (int j = i + 1; j < tasks; j++)
            {
                if (random.NextUniform() < density)
                    edges.Add((places[i], places[j]));
            }
        }

        double[] seconds = new double[tasks];
        for (int i = 0; i < tasks; i++)
            seconds[i] = random.NextUniform() < 0.1 ? 0 : isWhole ? 1 + random.NextIndex(9) : random.NextExponential();
        seconds[0] += 1;
        return Make(seconds, [.. edges]);
    }

    public static TaskGraph Make(double[] seconds, params (int Parent, int Child)[] edges) =>
        TaskGraph.TryCreate([], seconds, edges, out _) ?? throw new ArgumentException("The edges run in a cycle.", nameof(edges));
}
