using System.Collections.Immutable;

namespace Capacityplan.Core.Graphs;

/// <summary>How many tasks run from a moment on.</summary>
/// <param name="Seconds">The moment, seconds since the start; 0 or more.</param>
/// <param name="Tasks">Tasks that run from then until the next step; 0 or more.</param>
public readonly record struct WidthStep(double Seconds, int Tasks);

/// <summary>
/// How many tasks of a graph are ready, and so run, at each time if cores are unlimited and every task starts at once when its
/// parents are done. Tasks that take no time are never seen.
/// </summary>
public sealed class WidthProfile
{
    private WidthProfile(ImmutableArray<WidthStep> steps)
    {
        Steps = steps;
        MaxWidth = steps.Max(step => step.Tasks);
    }

    /// <summary>The steps, rising in time: the first at 0, the last, with no task left, at the span.</summary>
    public ImmutableArray<WidthStep> Steps { get; }

    /// <summary>Most tasks at one time; cores past these are never of use to a schedule that starts every task at once.</summary>
    public int MaxWidth { get; }

    /// <summary>Follows a graph, in time proportional to n log n.</summary>
    /// <param name="graph">The graph.</param>
    public static WidthProfile Of(TaskGraph graph)
    {
        ArgumentNullException.ThrowIfNull(graph);
        double[] starts = graph.EarliestStartSeconds.ToArray();
        double[] ends = new double[starts.Length];
        for (int task = 0; task < ends.Length; task++)
            ends[task] = starts[task] + graph.Seconds[task];
        Array.Sort(starts);
        Array.Sort(ends);
        var steps = ImmutableArray.CreateBuilder<WidthStep>();
        int started = 0, ended = 0;
        while (ended < ends.Length)
        {
            double now = started < starts.Length ? Math.Min(starts[started], ends[ended]) : ends[ended];
            while (started < starts.Length && starts[started] <= now)
                started++;
            while (ended < ends.Length && ends[ended] <= now)
                ended++;
            int width = started - ended;
            if (steps.Count == 0 || steps[^1].Tasks != width)
                steps.Add(new WidthStep(now, width));
        }

        return new WidthProfile(steps.ToImmutable());
    }

    /// <summary>
    /// At most so many steps for a chart: equal stretches of time, each with the most tasks at one time in it; all steps where
    /// they are few enough.
    /// </summary>
    /// <param name="most">2 or more.</param>
    public ImmutableArray<WidthStep> Thinned(int most)
    {
        Require.AtLeast(most, 2);
        if (Steps.Length <= most)
            return Steps;
        double span = Steps[^1].Seconds;
        int stretches = most - 1;
        var thinned = ImmutableArray.CreateBuilder<WidthStep>(most);
        int next = 0, width = 0;
        for (int i = 0; i < stretches; i++)
        {
            double end = span * (i + 1) / stretches;
            // What runs on from the stretch before counts too.
            int widest = width;
            for (; next < Steps.Length - 1 && Steps[next].Seconds < end; next++)
            {
                width = Steps[next].Tasks;
                widest = Math.Max(widest, width);
            }

            thinned.Add(new WidthStep(span * i / stretches, widest));
        }

        thinned.Add(Steps[^1]);
        return thinned.MoveToImmutable();
    }
}
