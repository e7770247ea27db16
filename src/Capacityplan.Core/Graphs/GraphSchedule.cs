namespace Capacityplan.Core.Graphs;

/// <summary>Where and when a task runs.</summary>
/// <param name="Task">The task, by number from 0.</param>
/// <param name="Worker">The worker, from 0.</param>
/// <param name="StartSeconds">When it starts, seconds; 0 or more.</param>
/// <param name="EndSeconds">When it ends, seconds.</param>
public readonly record struct ScheduledTask(int Task, int Worker, double StartSeconds, double EndSeconds);

/// <summary>
/// Where and when every task of a graph runs. No worker runs two at once, and none starts before its parents have ended.
/// </summary>
public sealed class GraphSchedule
{
    private readonly ScheduledTask[] _tasks;

    internal GraphSchedule(int cores, ScheduledTask[] tasks)
    {
        Cores = cores;
        _tasks = tasks;
        foreach (ScheduledTask task in tasks)
            MakespanSeconds = Math.Max(MakespanSeconds, task.EndSeconds);
    }

    /// <summary>p, workers there are; 1 or more. Not all of them need have a task.</summary>
    public int Cores { get; }

    /// <summary>When the last task ends, seconds.</summary>
    public double MakespanSeconds { get; }

    /// <summary>The tasks by number.</summary>
    public ReadOnlySpan<ScheduledTask> Tasks => _tasks;

    /// <summary>Gives workers to tasks whose starts are known, each to the one that has been free longest.</summary>
    /// <remarks>
    /// Tasks are taken in the order of their starts, and each starts as soon as its parents have ended and a worker is free: never
    /// later than it did, rounding aside.
    /// </remarks>
    internal static GraphSchedule Of(TaskGraph graph, int cores, ReadOnlySpan<double> starts)
    {
        var scheduled = new ScheduledTask[graph.Count];
        int[] waiting = new int[graph.Count];
        var free = new TaskHeap();
        for (int worker = 0; worker < Math.Min(cores, graph.Count); worker++)
            free.Push(0, worker);
        // Parents first, whatever rounding has made of starts that were counted from the end.
        var ready = new TaskHeap();
        for (int task = 0; task < waiting.Length; task++)
        {
            waiting[task] = graph.Parents(task).Length;
            if (waiting[task] == 0)
                ready.Push(starts[task], task);
        }

        while (ready.Count > 0)
        {
            int task = ready.Pop();
            double start = free.Key;
            int worker = free.Pop();
            foreach (int parent in graph.Parents(task))
                start = Math.Max(start, scheduled[parent].EndSeconds);
            double end = start + graph.Seconds[task];
            scheduled[task] = new ScheduledTask(task, worker, start, end);
            free.Push(end, worker);
            foreach (int child in graph.Children(task))
            {
                if (--waiting[child] == 0)
                    ready.Push(starts[child], child);
            }
        }

        return new GraphSchedule(cores, scheduled);
    }
}
