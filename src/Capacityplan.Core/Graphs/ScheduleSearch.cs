namespace Capacityplan.Core.Graphs;

/// <summary>
/// Looks for a short schedule of a graph on p cores: plain rules first, then the shortest of them is shaken and straightened
/// until a bound is met or the effort is used up.
/// </summary>
/// <remarks>
/// Straightening: a schedule is made backwards in the order its tasks ended, and forwards again in the order they then start,
/// as long as it gets shorter. K. Y. Li and R. J. Willis, "An iterative scheduling technique for resource-constrained project
/// scheduling", European Journal of Operational Research 56(3), 1992; V. Valls, F. Ballestin and S. Quintanilla,
/// "Justification and RCPSP: A technique that pays", European Journal of Operational Research 165(2), 2005.
/// </remarks>
internal sealed class ScheduleSearch
{
    private static readonly double[] s_shakes = [0.02, 0.05, 0.1, 0.2, 0.4];

    private readonly TaskGraph _graph;
    private readonly int _cores;
    private readonly RandomSource _random;
    private readonly CancellationToken _cancellation;
    private readonly ListScheduler _scheduler;
    private readonly double[] _keys;
    private readonly double[] _starts;
    private readonly double[] _current;
    private long _placements;

    public ScheduleSearch(TaskGraph graph, int cores, RandomSource random, CancellationToken cancellation)
    {
        _graph = graph;
        _cores = cores;
        _random = random;
        _cancellation = cancellation;
        _scheduler = new ListScheduler(graph);
        _keys = new double[graph.Count];
        _starts = new double[graph.Count];
        _current = new double[graph.Count];
        Starts = new double[graph.Count];
    }

    /// <summary>When each task starts in the shortest schedule so far.</summary>
    public double[] Starts { get; }

    public double Makespan { get; private set; } = double.PositiveInfinity;

    public double LongestRemainingFirst { get; private set; }

    public double ArrivalOrder { get; private set; }

    /// <summary>The plain rules: both of those that are told by name, then others until a bound is met.</summary>
    public void PlainRules(double floor)
    {
        ArrivalOrder = Forwards([]);
        LongestRemainingFirst = Forwards(ListKeys.LongestRemaining(_graph));
        if (GraphScheduling.IsReached(Makespan, floor))
            return;
        Func<double[]>[] rules =
        [
            () => ListKeys.LongestRemainingThenChildren(_graph), () => ListKeys.RemainingWork(_graph, _cores),
            () => ListKeys.LeastSlack(_graph), () => ListKeys.LongestTask(_graph),
        ];
        foreach (Func<double[]> rule in rules)
        {
            Forwards(rule());
            if (GraphScheduling.IsReached(Makespan, floor))
                return;
        }

        Backwards(ListKeys.LongestBefore(_graph));
    }

    /// <summary>Betters the shortest schedule until a bound is met or so many tasks have been placed.</summary>
    public void Better(double floor, long placements)
    {
        long end = _placements + placements;
        Starts.CopyTo(_current, 0);
        double current = Makespan;
        double[] remaining = ListKeys.LongestRemaining(_graph);
        for (long round = 0; _placements < end && !GraphScheduling.IsReached(Makespan, floor); round++)
        {
            double reach = s_shakes[_random.NextIndex(s_shakes.Length)] * current;
            // Every other round starts from the rule that is best on its own, not from what was found.
            bool fresh = round % 4 == 3;
            for (int task = 0; task < _keys.Length; task++)
                _keys[task] = (fresh ? remaining[task] : _current[task]) + reach * (_random.NextUniform() - 0.5);
            double made = Straightened(Forwards(_keys), floor);
            if (made <= current)
            {
                current = made;
                _starts.CopyTo(_current, 0);
            }
        }
    }

    // Leaves the straightened schedule in _starts.
    private double Straightened(double makespan, double floor)
    {
        ReadOnlySpan<double> seconds = _graph.Seconds;
        while (true)
        {
            for (int task = 0; task < _keys.Length; task++)
                _keys[task] = -(_starts[task] + seconds[task]);
            double back = Backwards(_keys);
            _starts.CopyTo(_keys, 0);
            double forth = Forwards(_keys);
            double made = Math.Min(back, forth);
            if (!(made < makespan) || GraphScheduling.IsReached(made, floor))
                return forth;
            makespan = made;
        }
    }

    private double Forwards(double[] keys)
    {
        double made = _scheduler.Run(_cores, keys, false, _starts, _cancellation);
        Keep(made);
        return made;
    }

    // The schedule told forwards again.
    private double Backwards(double[] keys)
    {
        double made = _scheduler.Run(_cores, keys, true, _starts, _cancellation);
        for (int task = 0; task < _starts.Length; task++)
            _starts[task] = Math.Max(0, made - _starts[task] - _graph.Seconds[task]);
        Keep(made);
        return made;
    }

    private void Keep(double made)
    {
        _placements += _starts.Length;
        if (made < Makespan)
        {
            Makespan = made;
            _starts.CopyTo(Starts, 0);
        }
    }
}
