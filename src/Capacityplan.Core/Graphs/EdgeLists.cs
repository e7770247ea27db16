using System.Runtime.CompilerServices;

namespace Capacityplan.Core.Graphs;

/// <summary>
/// The edges of a graph, by child and by parent: for each, the neighbours of all tasks one after another and where those of a
/// task begin.
/// </summary>
internal sealed class EdgeLists
{
    private readonly int[] _parentStart;
    private readonly int[] _parents;
    private readonly int[] _childStart;
    private readonly int[] _children;

    private EdgeLists(int[] parentStart, int[] parents, int[] childStart, int[] children)
    {
        _parentStart = parentStart;
        _parents = parents;
        _childStart = childStart;
        _children = children;
    }

    public int Count => _parents.Length;

    private int Tasks => _parentStart.Length - 1;

    /// <summary>Sorts edges by counting, in time proportional to tasks and edges, and drops those given twice.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static EdgeLists Of(int tasks, ReadOnlySpan<int> parents, ReadOnlySpan<int> children)
    {
        int[] parentStart = Starts(tasks, children);
        int[] sorted = new int[parents.Length];
        int[] next = parentStart.AsSpan(0, tasks).ToArray();
        for (int i = 0; i < parents.Length; i++)
            sorted[next[children[i]]++] = parents[i];

        // The last child a parent was met at: meeting it again there is an edge given twice.
        int[] met = new int[tasks];
        Array.Fill(met, -1);
        int kept = 0;
        for (int child = 0; child < tasks; child++)
        {
            int from = parentStart[child];
            int to = parentStart[child + 1];
            parentStart[child] = kept;
            for (int i = from; i < to; i++)
            {
                int parent = sorted[i];
                if (met[parent] == child)
                    continue;
                met[parent] = child;
                sorted[kept++] = parent;
            }
        }

        parentStart[tasks] = kept;
        if (kept < sorted.Length)
            Array.Resize(ref sorted, kept);
        int[] childStart = Starts(tasks, sorted);
        int[] byParent = new int[kept];
        childStart.AsSpan(0, tasks).CopyTo(next);
        for (int child = 0; child < tasks; child++)
        {
            for (int i = parentStart[child]; i < parentStart[child + 1]; i++)
                byParent[next[sorted[i]]++] = child;
        }

        return new EdgeLists(parentStart, sorted, childStart, byParent);
    }

    public ReadOnlySpan<int> Parents(int task) => _parents.AsSpan(_parentStart[task], _parentStart[task + 1] - _parentStart[task]);

    public ReadOnlySpan<int> Children(int task) => _children.AsSpan(_childStart[task], _childStart[task + 1] - _childStart[task]);

    /// <summary>All tasks, parents before children; null where there is a cycle, which is then given.</summary>
    /// <remarks>A. B. Kahn, "Topological sorting of large networks", Communications of the ACM 5(11), 1962.</remarks>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public int[]? Order(out int[] cycle)
    {
        int[] order = new int[Tasks];
        int[] waiting = new int[Tasks];
        int known = 0;
        for (int task = 0; task < Tasks; task++)
        {
            waiting[task] = Parents(task).Length;
            if (waiting[task] == 0)
                order[known++] = task;
        }

        for (int i = 0; i < known; i++)
        {
            foreach (int child in Children(order[i]))
            {
                if (--waiting[child] == 0)
                    order[known++] = child;
            }
        }

        cycle = known < Tasks ? Cycle(waiting) : [];
        return known < Tasks ? null : order;
    }

    // A task that still waits has a parent that still waits: going from parent to parent must come back somewhere.
    private int[] Cycle(int[] waiting)
    {
        int at = Array.FindIndex(waiting, count => count > 0);
        int[] step = new int[Tasks];
        var path = new List<int>();
        while (step[at] == 0)
        {
            path.Add(at);
            step[at] = path.Count;
            foreach (int parent in Parents(at))
            {
                if (waiting[parent] > 0)
                {
                    at = parent;
                    break;
                }
            }
        }

        List<int> cycle = path[(step[at] - 1)..];
        cycle.Reverse();
        // From its smallest task on, so that it is told the same way wherever it was found.
        int first = cycle.IndexOf(cycle.Min());
        return [.. cycle[first..], .. cycle[..first]];
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static int[] Starts(int tasks, ReadOnlySpan<int> ends)
    {
        int[] starts = new int[tasks + 1];
        foreach (int end in ends)
            starts[end + 1]++;
        for (int task = 0; task < tasks; task++)
            starts[task + 1] += starts[task];
        return starts;
    }
}
