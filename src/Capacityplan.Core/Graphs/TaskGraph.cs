using System.Collections.Immutable;
using System.Globalization;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Laws;

namespace Capacityplan.Core.Graphs;

/// <summary>
/// Tasks with durations, each of which starts only when all its parents are done. Tasks are numbered from 0 in the order they
/// were given. Immutable, free of cycles, and compact: some 40 bytes a task and 8 an edge, ids not counted.
/// </summary>
public sealed class TaskGraph
{
    /// <summary>The most tasks a graph may have.</summary>
    public const int MostTasks = 5_000_000;

    /// <summary>The most edges a graph may have.</summary>
    public const int MostEdges = 25_000_000;

    private readonly string[]? _ids;
    private readonly double[] _seconds;
    private readonly EdgeLists _edges;
    private readonly int[] _order;
    private readonly double[] _earliestStart;
    private readonly double[] _remaining;

    private TaskGraph(string[]? ids, double[] seconds, EdgeLists edges, int[] order)
    {
        _ids = ids;
        _seconds = seconds;
        _edges = edges;
        _order = order;
        _earliestStart = new double[seconds.Length];
        _remaining = new double[seconds.Length];
        var work = new CarriedSum();
        foreach (double one in seconds)
            work.Add(one);
        MaxLevelWidth = ReachForwards();
        SpanSeconds = ReachBackwards();
        // A chain's work and span are one figure, added up in two ways.
        WorkSeconds = Math.Max(work.Total, SpanSeconds);
    }

    /// <summary>Number of tasks; 1 or more.</summary>
    public int Count => _seconds.Length;

    /// <summary>Number of edges, each from a parent to a child; edges given twice count once.</summary>
    public int Edges => _edges.Count;

    /// <summary>T1, the sum of all durations, seconds; 0 or more.</summary>
    public double WorkSeconds { get; }

    /// <summary>T_inf, the longest chain of durations, seconds; from 0 to the work.</summary>
    public double SpanSeconds { get; }

    /// <summary>Average parallelism T1/T_inf; null where the span is 0.</summary>
    public double? Parallelism => WorkSeconds > 0 ? WorkSpanLaws.Parallelism(WorkSeconds, SpanSeconds) : null;

    /// <summary>
    /// Most tasks on one level, a task's level being the most edges on a way to it from a task without parents. Durations play
    /// no part; <see cref="WidthProfile"/> follows them.
    /// </summary>
    public int MaxLevelWidth { get; }

    /// <summary>Durations by task, seconds; each 0 or more and finite.</summary>
    public ReadOnlySpan<double> Seconds => _seconds;

    /// <summary>All tasks, parents before children.</summary>
    public ReadOnlySpan<int> Order => _order;

    /// <summary>When each task starts if cores are unlimited, seconds: the longest chain before it.</summary>
    public ReadOnlySpan<double> EarliestStartSeconds => _earliestStart;

    /// <summary>The longest chain from each task on, its own duration included, seconds.</summary>
    public ReadOnlySpan<double> RemainingSeconds => _remaining;

    /// <summary>Makes a graph.</summary>
    /// <param name="ids">What each task is called; as many as tasks, or empty for 1, 2, 3 ...</param>
    /// <param name="seconds">Durations, seconds; one or more, each 0 or more and finite.</param>
    /// <param name="edges">Parent and child, by number from 0; an edge given again is dropped.</param>
    /// <param name="cycle">Empty, or tasks each of which is a parent of the next, and the last of the first.</param>
    /// <returns>The graph; null where the edges run in a cycle.</returns>
    /// <exception cref="ArgumentException">There is no task, or not an id for each.</exception>
    /// <exception cref="ArgumentOutOfRangeException">
    /// A duration is NaN, infinite or below 0, an edge names no task, or there are more tasks or edges than a graph may have.
    /// </exception>
    public static TaskGraph? TryCreate(
        IEnumerable<string> ids, IEnumerable<double> seconds, IEnumerable<(int Parent, int Child)> edges, out ImmutableArray<int> cycle)
    {
        string[] names = [.. ids];
        double[] durations = [.. seconds];
        if (durations.Length == 0)
            throw new ArgumentException("There is no task; a graph needs at least one.", nameof(seconds));
        if (names.Length > 0 && names.Length != durations.Length)
            throw new ArgumentException("There has to be an id for each task, or none at all.", nameof(ids));
        Require.Within(durations.Length, 1, MostTasks, nameof(seconds));
        foreach (double duration in durations)
            Require.NotNegative(duration, nameof(seconds));
        var parents = new List<int>();
        var children = new List<int>();
        foreach ((int parent, int child) in edges)
        {
            parents.Add((int)Require.Within(parent, 0, durations.Length - 1, nameof(edges)));
            children.Add((int)Require.Within(child, 0, durations.Length - 1, nameof(edges)));
        }

        Require.Within(parents.Count, 0, MostEdges, nameof(edges));
        return TryCreate(
            names.Length > 0 ? names : null, durations, CollectionsMarshal.AsSpan(parents), CollectionsMarshal.AsSpan(children), out cycle);
    }

    /// <summary>Likewise, of figures already checked; ids and durations are kept, not copied.</summary>
    internal static TaskGraph? TryCreate(
        string[]? ids, double[] seconds, ReadOnlySpan<int> parents, ReadOnlySpan<int> children, out ImmutableArray<int> cycle)
    {
        EdgeLists edges = EdgeLists.Of(seconds.Length, parents, children);
        int[]? order = edges.Order(out int[] found);
        cycle = [.. found];
        return order is null ? null : new TaskGraph(ids, seconds, edges, order);
    }

    /// <summary>What a task is called.</summary>
    /// <param name="task">Its number, from 0.</param>
    public string Id(int task) => _ids is null ? (task + 1).ToString(CultureInfo.InvariantCulture) : _ids[task];

    /// <summary>The tasks a task waits for.</summary>
    /// <param name="task">Its number, from 0.</param>
    public ReadOnlySpan<int> Parents(int task) => _edges.Parents(task);

    /// <summary>The tasks that wait for a task, rising.</summary>
    /// <param name="task">Its number, from 0.</param>
    public ReadOnlySpan<int> Children(int task) => _edges.Children(task);

    /// <summary>
    /// How much later than <see cref="EarliestStartSeconds"/> a task may start with cores unlimited before the whole takes longer
    /// than the span, seconds; 0 on every critical path.
    /// </summary>
    /// <param name="task">Its number, from 0.</param>
    public double SlackSeconds(int task)
    {
        double slack = SpanSeconds - _earliestStart[task] - _remaining[task];
        // The two chains are added up from opposite ends.
        return slack > 1e-12 * SpanSeconds ? slack : 0;
    }

    /// <summary>One longest chain, from its first task to its last; of equally long ones that of the smallest numbers.</summary>
    public ImmutableArray<int> CriticalPath()
    {
        var path = ImmutableArray.CreateBuilder<int>();
        int at = -1;
        for (int task = 0; task < Count; task++)
        {
            if (Parents(task).IsEmpty && (at < 0 || _remaining[task] > _remaining[at]))
                at = task;
        }

        while (at >= 0)
        {
            path.Add(at);
            int next = -1;
            foreach (int child in Children(at))
            {
                if (next < 0 || _remaining[child] > _remaining[next])
                    next = child;
            }

            at = next;
        }

        return path.ToImmutable();
    }

    /// <summary>The same graph with another duration of one task.</summary>
    /// <param name="task">Its number, from 0.</param>
    /// <param name="seconds">The duration, seconds; 0 or more and finite.</param>
    /// <exception cref="ArgumentOutOfRangeException">There is no such task, or the duration is NaN, infinite or below 0.</exception>
    public TaskGraph WithSeconds(int task, double seconds)
    {
        Require.Within(task, 0, Count - 1);
        double[] changed = [.. _seconds];
        changed[task] = Require.NotNegative(seconds);
        return new TaskGraph(_ids, changed, _edges, _order);
    }

    /// <summary>The span if every task took so much longer, seconds: what the pool costs belongs to every chain.</summary>
    internal double SpanSecondsWith(double extraSeconds)
    {
        double[] remaining = new double[Count];
        double span = 0;
        for (int i = Count - 1; i >= 0; i--)
        {
            int task = _order[i];
            double after = 0;
            foreach (int child in Children(task))
                after = Math.Max(after, remaining[child]);
            remaining[task] = after + _seconds[task] + extraSeconds;
            span = Math.Max(span, remaining[task]);
        }

        return span;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private int ReachForwards()
    {
        int[] level = new int[Count];
        int[] width = new int[Count];
        int most = 0;
        foreach (int task in _order)
        {
            int next = level[task] + 1;
            most = Math.Max(most, ++width[next - 1]);
            double end = _earliestStart[task] + _seconds[task];
            foreach (int child in Children(task))
            {
                if (end > _earliestStart[child])
                    _earliestStart[child] = end;
                if (next > level[child])
                    level[child] = next;
            }
        }

        return most;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private double ReachBackwards()
    {
        double span = 0;
        for (int i = Count - 1; i >= 0; i--)
        {
            int task = _order[i];
            double after = 0;
            foreach (int child in Children(task))
                after = Math.Max(after, _remaining[child]);
            _remaining[task] = after + _seconds[task];
            span = Math.Max(span, _remaining[task]);
        }

        return span;
    }
}
