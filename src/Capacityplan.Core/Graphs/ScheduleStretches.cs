using System.Collections.Immutable;

namespace Capacityplan.Core.Graphs;

/// <summary>What a worker does for a while in a schedule.</summary>
/// <param name="Worker">The worker, from 0.</param>
/// <param name="StartSeconds">When it begins, seconds.</param>
/// <param name="EndSeconds">When it ends, seconds.</param>
/// <param name="Task">The task, by number from 0; -1 for several, each too short to be shown by itself.</param>
/// <param name="Kind">Their kind; -1 where several are not of one.</param>
/// <param name="Tasks">How many tasks it stands for; 1 or more.</param>
public readonly record struct ScheduleStretch(int Worker, double StartSeconds, double EndSeconds, int Task, int Kind, int Tasks);

/// <summary>
/// A schedule laid out by worker, of which any part can be had in few stretches at once, however many tasks are in it: tasks too short for
/// that part are put together with their neighbours.
/// </summary>
public sealed class ScheduleStretches
{
    private readonly ScheduledTask[] _byWorker;
    private readonly int[] _start;
    private readonly TaskKinds _kinds;

    /// <summary>Lays a schedule out.</summary>
    /// <param name="schedule">The schedule.</param>
    /// <param name="kinds">The kinds of its tasks.</param>
    /// <param name="mostRows">At most so many workers are told of; 1 or more.</param>
    public ScheduleStretches(GraphSchedule schedule, TaskKinds kinds, int mostRows = 48)
    {
        ArgumentNullException.ThrowIfNull(schedule);
        ArgumentNullException.ThrowIfNull(kinds);
        Require.AtLeast(mostRows, 1);
        Schedule = schedule;
        _kinds = kinds;
        _start = new int[schedule.Cores + 1];
        int last = 0;
        foreach (ScheduledTask task in schedule.Tasks)
        {
            _start[task.Worker + 1]++;
            if (task.EndSeconds >= schedule.MakespanSeconds)
                last = task.Worker;
        }

        for (int worker = 0; worker < schedule.Cores; worker++)
            _start[worker + 1] += _start[worker];
        _byWorker = new ScheduledTask[schedule.Tasks.Length];
        int[] next = _start[..^1];
        foreach (ScheduledTask task in schedule.Tasks)
            _byWorker[next[task.Worker]++] = task;
        for (int worker = 0; worker < schedule.Cores; worker++)
            _byWorker.AsSpan(_start[worker], _start[worker + 1] - _start[worker]).Sort(static (one, other) => one.StartSeconds.CompareTo(other.StartSeconds));
        Rows = RowsOf(schedule.Cores, mostRows, last);
    }

    /// <summary>The schedule.</summary>
    public GraphSchedule Schedule { get; }

    /// <summary>The workers told of, rising: all of them, or some evenly spread and the one that ends last.</summary>
    public ImmutableArray<int> Rows { get; }

    /// <summary>What the rows do in a part of the schedule, by row and time.</summary>
    /// <param name="from">Where the part begins, seconds.</param>
    /// <param name="to">Where it ends; above <paramref name="from"/>.</param>
    /// <param name="most">About so many stretches at most, never more than twice as many; 1 or more for each row.</param>
    public ImmutableArray<ScheduleStretch> Between(double from, double to, int most)
    {
        Require.AtLeast(most, 1);
        // Put together, no stretch is longer than this, and no two are shorter than this together.
        double shortest = (to - from) * Rows.Length / most;
        var stretches = ImmutableArray.CreateBuilder<ScheduleStretch>();
        foreach (int worker in Rows)
        {
            ReadOnlySpan<ScheduledTask> tasks = _byWorker.AsSpan(_start[worker], _start[worker + 1] - _start[worker]);
            int at = FirstEndingAfter(tasks, from);
            while (at < tasks.Length && tasks[at].StartSeconds < to)
            {
                ScheduledTask first = tasks[at];
                var stretch = new ScheduleStretch(worker, first.StartSeconds, first.EndSeconds, first.Task, _kinds.Of(first.Task), 1);
                at++;
                while (at < tasks.Length && tasks[at].StartSeconds < to && tasks[at].EndSeconds - stretch.StartSeconds <= shortest)
                {
                    int kind = _kinds.Of(tasks[at].Task);
                    stretch = stretch with
                    {
                        EndSeconds = tasks[at].EndSeconds,
                        Task = -1,
                        Kind = kind == stretch.Kind ? kind : -1,
                        Tasks = stretch.Tasks + 1,
                    };
                    at++;
                }

                stretches.Add(stretch);
            }
        }

        return stretches.ToImmutable();
    }

    private static int FirstEndingAfter(ReadOnlySpan<ScheduledTask> tasks, double from)
    {
        int low = 0, high = tasks.Length;
        while (low < high)
        {
            int middle = (low + high) / 2;
            if (tasks[middle].EndSeconds > from)
                high = middle;
            else
                low = middle + 1;
        }

        return low;
    }

    private static ImmutableArray<int> RowsOf(int workers, int most, int last)
    {
        if (workers <= most)
            return [.. Enumerable.Range(0, workers)];
        SortedSet<int> rows = [last];
        for (int i = 0; rows.Count < most; i++)
        {
            int worker = (int)((long)i * workers / most) % workers;
            while (!rows.Add(worker))
                worker = (worker + 1) % workers;
        }

        return [.. rows];
    }
}
