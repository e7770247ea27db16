namespace Capacityplan.Core.Graphs;

/// <summary>
/// List scheduling: whenever a worker is free and a task is ready, the ready task of the smallest key starts. At each moment
/// all tasks that end are taken first. No schedule it makes takes longer than the greedy bound.
/// </summary>
/// <remarks>
/// R. L. Graham, "Bounds on Multiprocessing Timing Anomalies", SIAM Journal on Applied Mathematics 17(2), 1969. Keeps its room
/// between schedules; not safe to share between threads.
/// </remarks>
internal sealed class ListScheduler
{
    private const int TasksBetweenLooks = 1 << 14;

    private readonly TaskGraph _graph;
    private readonly int[] _waiting;
    private readonly TaskHeap _ready = new();
    private readonly TaskHeap _running = new();

    public ListScheduler(TaskGraph graph)
    {
        _graph = graph;
        _waiting = new int[graph.Count];
    }

    /// <summary>Schedules the graph.</summary>
    /// <param name="cores">p, workers; 1 or more.</param>
    /// <param name="keys">A key for each task; empty to take tasks in the order they become ready, at one moment by number.</param>
    /// <param name="backwards">True to let time run backwards, from the tasks without children on.</param>
    /// <param name="starts">Filled with when each task starts.</param>
    /// <param name="cancellation">Ends it early.</param>
    /// <returns>When the last task ends.</returns>
    public double Run(int cores, ReadOnlySpan<double> keys, bool backwards, Span<double> starts, CancellationToken cancellation = default)
    {
        _ready.Clear();
        _running.Clear();
        ReadOnlySpan<double> seconds = _graph.Seconds;
        for (int task = 0; task < seconds.Length; task++)
        {
            _waiting[task] = (backwards ? _graph.Children(task) : _graph.Parents(task)).Length;
            if (_waiting[task] == 0)
                _ready.Push(keys.IsEmpty ? 0 : keys[task], task);
        }

        int free = cores;
        int looks = 0;
        double now = 0;
        while (true)
        {
            while (free > 0 && _ready.Count > 0)
            {
                int task = _ready.Pop();
                starts[task] = now;
                _running.Push(now + seconds[task], task);
                free--;
            }

            if (_running.Count == 0)
                return now;
            now = _running.Key;
            while (_running.Count > 0 && _running.Key == now)
            {
                int task = _running.Pop();
                free++;
                foreach (int next in backwards ? _graph.Parents(task) : _graph.Children(task))
                {
                    if (--_waiting[next] == 0)
                        _ready.Push(keys.IsEmpty ? now : keys[next], next);
                }

                if (++looks == TasksBetweenLooks)
                {
                    cancellation.ThrowIfCancellationRequested();
                    looks = 0;
                }
            }
        }
    }
}
