using Capacityplan.Core.Laws;

namespace Capacityplan.Core.Graphs;

/// <summary>Times no schedule of a graph can stay below.</summary>
/// <remarks>
/// The work and span laws, and demand of intervals: a task cannot start before its longest chain of parents is done, nor, if
/// all is to be done by C, later than C less the longest chain from it on; what of it has to fall into an interval wherever it
/// is put between the two is demanded of that interval, and the demands of all tasks have to fit on p cores. E. B. Fernandez
/// and B. Bussell, "Bounds on the Number of Processors and Time for Multiprocessor Optimal Schedules", IEEE Transactions on
/// Computers C-22(8), 1973; counting the part of a task that has to fall inside: P. Baptiste, C. Le Pape and W. Nuijten,
/// "Satisfiability Tests and Time-Bound Adjustments for Cumulative Scheduling Problems", Annals of Operations Research 92,
/// 1999 ("energetic reasoning"; from memory).
/// </remarks>
internal sealed class MakespanBounds
{
    // Interval starts times tasks that one test may look at.
    private const long MostLooks = 1 << 21;

    private readonly TaskGraph _graph;
    private readonly double[] _turns;
    private readonly double[] _slopes;

    public MakespanBounds(TaskGraph graph)
    {
        _graph = graph;
        _turns = new double[2 * graph.Count];
        _slopes = new double[2 * graph.Count];
        Grain = TimeGrain.Of(graph.Seconds);
    }

    /// <summary>The step all durations are multiples of, seconds; 0 where there is none.</summary>
    public double Grain { get; }

    /// <summary>max(T1/p, T_inf), and the same for what is left when the first or last stretch of time is taken away; seconds.</summary>
    public double Quick(int cores)
    {
        double bound = WorkSpanLaws.FloorSeconds(_graph.WorkSeconds, _graph.SpanSeconds, cores);
        bound = Math.Max(bound, OneSided(cores, fromStart: true));
        bound = Math.Max(bound, OneSided(cores, fromStart: false));
        return TimeGrain.RoundUp(bound * (1 - 1e-13), Grain);
    }

    /// <summary>
    /// The strongest bound the demand of intervals gives, between one known and the makespan of a schedule; seconds. Of large
    /// graphs only some intervals are looked at, of very large ones none.
    /// </summary>
    /// <param name="cores">p; 1 or more.</param>
    /// <param name="low">A bound.</param>
    /// <param name="high">The makespan of a schedule.</param>
    /// <param name="cancellation">Ends it early.</param>
    public double Strong(int cores, double low, double high, CancellationToken cancellation = default)
    {
        if (_graph.Count > MostLooks / 8)
            return low;
        if (Grain > 0)
        {
            // Whole steps: low stands, and high - 1 is the longest that could be better than what is known.
            long known = (long)Math.Round(low / Grain);
            long open = (long)Math.Round(high / Grain) - 1;
            // A schedule is often the best there is, so the last question is asked first.
            bool first = true;
            while (known <= open)
            {
                long asked = first ? open : known + (open - known) / 2;
                first = false;
                if (IsImpossible(cores, asked * Grain, cancellation))
                    known = asked + 1;
                else
                    open = asked - 1;
            }

            return known * Grain;
        }

        for (int i = 0; i < 40 && high - low > 1e-10 * high; i++)
        {
            double asked = i == 0 ? high * (1 - 1e-10) : low + (high - low) / 2;
            if (IsImpossible(cores, asked, cancellation))
                low = asked;
            else
                high = asked;
        }

        return low;
    }

    // Work that cannot begin before t, at t at the earliest, on p cores: t + work/p. Backwards, the same of the other end.
    private double OneSided(int cores, bool fromStart)
    {
        double[] begins = _turns.AsSpan(0, _graph.Count).ToArray();
        double[] seconds = _graph.Seconds.ToArray();
        for (int task = 0; task < begins.Length; task++)
            begins[task] = fromStart ? _graph.EarliestStartSeconds[task] : _graph.RemainingSeconds[task] - seconds[task];
        Array.Sort(begins, seconds);
        double left = 0, bound = 0;
        for (int i = begins.Length - 1; i >= 0; i--)
        {
            left += seconds[i];
            // Whole tasks only: what of an earlier one is left at that time comes into the intervals of Strong.
            bound = Math.Max(bound, begins[i] + left / cores);
        }

        return bound;
    }

    private bool IsImpossible(int cores, double end, CancellationToken cancellation)
    {
        ReadOnlySpan<double> starts = _graph.EarliestStartSeconds;
        double[] candidates = new double[2 * starts.Length];
        for (int task = 0; task < starts.Length; task++)
        {
            candidates[2 * task] = starts[task];
            candidates[2 * task + 1] = Math.Max(0, end - _graph.RemainingSeconds[task]);
        }

        Array.Sort(candidates);
        int distinct = 0;
        foreach (double candidate in candidates)
        {
            if (distinct == 0 || candidate > candidates[distinct - 1])
                candidates[distinct++] = candidate;
        }

        int most = (int)Math.Clamp(MostLooks / starts.Length, 1, distinct);
        for (int i = 0; i < most; i++)
        {
            cancellation.ThrowIfCancellationRequested();
            if (Overflows(cores, candidates[(int)((long)i * distinct / most)], end))
                return true;
        }

        return false;
    }

    // For a fixed beginning, what a task demands of [from, to] is 0 up to some time, then grows with to, then stays: the sum
    // over tasks is followed from turn to turn.
    private bool Overflows(int cores, double from, double end)
    {
        ReadOnlySpan<double> seconds = _graph.Seconds;
        ReadOnlySpan<double> starts = _graph.EarliestStartSeconds;
        ReadOnlySpan<double> remaining = _graph.RemainingSeconds;
        int turns = 0;
        for (int task = 0; task < seconds.Length; task++)
        {
            double inside = Math.Min(seconds[task], starts[task] + seconds[task] - from);
            double latest = Math.Max(from, end - remaining[task]);
            if (inside <= 0 || latest >= end)
                continue;
            (_turns[turns], _slopes[turns]) = (latest, 1);
            (_turns[turns + 1], _slopes[turns + 1]) = (latest + inside, -1);
            turns += 2;
        }

        Array.Sort(_turns, _slopes, 0, turns);
        double demand = 0, slope = 0, last = from;
        double allowance = 1e-9 * end;
        for (int i = 0; i < turns; i++)
        {
            demand += slope * (_turns[i] - last);
            last = _turns[i];
            slope += _slopes[i];
            if (demand > cores * (last - from) + allowance)
                return true;
        }

        return false;
    }
}
