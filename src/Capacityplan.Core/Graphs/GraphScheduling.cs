using Capacityplan.Core.Laws;

namespace Capacityplan.Core.Graphs;

/// <summary>How much is tried to better the schedules of a graph.</summary>
public sealed record SchedulingEffort
{
    /// <summary>
    /// How many times a task may be given a place while schedules are bettered, on each core count; 0 or more, 0 for the plain
    /// rules alone. About ten million a second.
    /// </summary>
    public long Placements { get; init => field = Require.AtLeast(value, 0, nameof(Placements)); } = 4_000_000;

    /// <summary>Seed of everything random; the same seed gives the same schedules.</summary>
    public int Seed { get; init; } = 1;
}

/// <summary>What is known of the run time of a graph on p cores, costs of scheduling not counted.</summary>
public sealed record GraphOutlook
{
    /// <summary>p; 1 or more.</summary>
    public required int Cores { get; init; }

    /// <summary>The shortest schedule found.</summary>
    public required GraphSchedule Schedule { get; init; }

    /// <summary>The strongest bound proved: no schedule is shorter; seconds, at most <see cref="Schedule"/>'s makespan.</summary>
    public required double FloorSeconds { get; init; }

    /// <summary>max(T1/p, T_inf), seconds; at most <see cref="FloorSeconds"/>, rounding aside.</summary>
    public required double LawFloorSeconds { get; init; }

    /// <summary>(T1 - T_inf)/p + T_inf, seconds: no greedy schedule is longer.</summary>
    public required double GreedyCeilingSeconds { get; init; }

    /// <summary>Makespan of the list schedule that takes the longest remaining chain first, seconds.</summary>
    public required double LongestRemainingFirstSeconds { get; init; }

    /// <summary>Makespan of the list schedule that takes tasks in the order they become ready, seconds.</summary>
    public required double ArrivalOrderSeconds { get; init; }

    /// <summary>True where floor and schedule meet: no schedule is shorter than <see cref="Schedule"/>.</summary>
    public required bool IsOptimal { get; init; }
}

/// <summary>Schedules a graph on given numbers of cores, and says how far from the best that is at most.</summary>
public static class GraphScheduling
{
    /// <summary>The most cores a graph is scheduled on.</summary>
    public const int MostCores = 1 << 16;

    /// <summary>Schedules a graph by several rules, betters the shortest schedule, and bounds it from below.</summary>
    /// <param name="graph">The graph.</param>
    /// <param name="cores">p; from 1 to <see cref="MostCores"/>.</param>
    /// <param name="effort">How much to try; the defaults of <see cref="SchedulingEffort"/> where null.</param>
    /// <param name="cancellation">Ends it early.</param>
    /// <exception cref="ArgumentOutOfRangeException">The cores are outside their range.</exception>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static GraphOutlook Outlook(TaskGraph graph, int cores, SchedulingEffort? effort = null, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(graph);
        Require.Within(cores, 1, MostCores);
        effort ??= new SchedulingEffort();
        var bounds = new MakespanBounds(graph);
        double floor = bounds.Quick(cores);
        var search = new ScheduleSearch(graph, cores, new RandomSource(unchecked((ulong)effort.Seed), (ulong)cores), cancellation);
        search.PlainRules(floor);
        if (!IsReached(search.Makespan, floor))
            floor = bounds.Strong(cores, floor, search.Makespan, cancellation);
        search.Better(floor, effort.Placements);
        var schedule = GraphSchedule.Of(graph, cores, search.Starts);
        return new GraphOutlook
        {
            Cores = cores,
            Schedule = schedule,
            FloorSeconds = Math.Min(floor, schedule.MakespanSeconds),
            LawFloorSeconds = WorkSpanLaws.FloorSeconds(graph.WorkSeconds, graph.SpanSeconds, cores),
            GreedyCeilingSeconds = WorkSpanLaws.GreedyCeilingSeconds(graph.WorkSeconds, graph.SpanSeconds, cores),
            LongestRemainingFirstSeconds = search.LongestRemainingFirst,
            ArrivalOrderSeconds = search.ArrivalOrder,
            IsOptimal = IsReached(schedule.MakespanSeconds, floor),
        };
    }

    /// <summary>The list schedule that takes the ready task with the longest remaining chain first.</summary>
    /// <param name="graph">The graph.</param>
    /// <param name="cores">p; from 1 to <see cref="MostCores"/>.</param>
    /// <param name="cancellation">Ends it early.</param>
    /// <exception cref="ArgumentOutOfRangeException">The cores are outside their range.</exception>
    public static GraphSchedule LongestRemainingFirst(TaskGraph graph, int cores, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(graph);
        return List(graph, cores, ListKeys.LongestRemaining(graph), cancellation);
    }

    /// <summary>The list schedule that takes ready tasks in the order they became ready, at one moment by number.</summary>
    /// <inheritdoc cref="LongestRemainingFirst" path="/param"/>
    /// <exception cref="ArgumentOutOfRangeException">The cores are outside their range.</exception>
    public static GraphSchedule ArrivalOrder(TaskGraph graph, int cores, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(graph);
        return List(graph, cores, [], cancellation);
    }

    /// <summary>The list schedule that takes the ready task of the smallest number.</summary>
    /// <inheritdoc cref="LongestRemainingFirst" path="/param"/>
    /// <exception cref="ArgumentOutOfRangeException">The cores are outside their range.</exception>
    public static GraphSchedule NumberOrder(TaskGraph graph, int cores, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(graph);
        return List(graph, cores, new double[graph.Count], cancellation);
    }

    internal static bool IsReached(double makespan, double floor) => makespan <= floor * (1 + 1e-9);

    private static GraphSchedule List(TaskGraph graph, int cores, double[] keys, CancellationToken cancellation)
    {
        Require.Within(cores, 1, MostCores);
        double[] starts = new double[graph.Count];
        new ListScheduler(graph).Run(cores, keys, false, starts, cancellation);
        return GraphSchedule.Of(graph, cores, starts);
    }
}
