using System.Collections.Immutable;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>How many tasks of a graph are ready over time, with unlimited cores.</summary>
public static class WidthProfileChart
{
    private const int Height = 320;
    private const int MostSteps = 240;
    private const int TableRows = 40;

    /// <summary>Maps a graph's profile to the chart.</summary>
    /// <param name="study">What the graph says of itself.</param>
    public static ChartModel Build(GraphStudy study)
    {
        double span = study.Job.Graph.SpanSeconds;
        // A graph may take no time at all.
        double end = span > 0 ? span : 1;
        ValueList<ChartTick> ticks = AxisTicks.EvenTimes(0, end, out string unit);
        ImmutableArray<WidthStep> steps = study.Profile.Thinned(MostSteps);
        double most = study.Profile.MaxWidth, mean = study.Job.Graph.Parallelism ?? 1;
        ChartColumn[] columns = [.. steps.SkipLast(1).Select((step, i) => new ChartColumn(step.Seconds, steps[i + 1].Seconds, step.Tasks))];
        double high = 1.15 * most;
        return new ChartModel
        {
            Name = "width-profile",
            Title = Title(study),
            Subtitle = $"Tasks that run at one time with unlimited cores, against {unit} since the start. Cores past the most of them are of no use.",
            TextAlternative = $"With unlimited cores the job takes {Figures.Time(span)}. At most {Count(study.Profile.MaxWidth)} run at one time, {Figures.TimesNumber(mean)} on average.",
            X = new() { Title = unit, Scale = AxisScale.Linear, Low = 0, High = end, Ticks = ticks },
            Y = new() { Title = "tasks", Scale = AxisScale.Linear, Low = 0, High = high, Ticks = AxisTicks.FromZero(high, leastStep: 1) },
            Height = Height,
            Columns = columns.ToValueList(),
            Notes = [new ChartNote(new ChartPoint(end, mean), $"{Figures.TimesNumber(mean)} on average", NoteRole.Quiet) { Side = -1, Offset = (-4, -8) }],
            Table = new(
                ["from", "tasks that run"],
                study.Profile.Thinned(TableRows).Select(step => new TableRow([Figures.Time(step.Seconds), Figures.Count(step.Tasks)])).ToValueList()),
        };
    }

    private static string Title(GraphStudy study)
    {
        WidthProfile profile = study.Profile;
        double span = study.Job.Graph.SpanSeconds, mean = study.Job.Graph.Parallelism ?? 1, below = 0;
        for (int i = 0; i + 1 < profile.Steps.Length; i++)
            below += profile.Steps[i].Tasks < mean ? profile.Steps[i + 1].Seconds - profile.Steps[i].Seconds : 0;
        if (profile.MaxWidth == 1)
            return "One task runs at a time: more cores cannot help";
        return below > 0.5 * span
            ? $"Up to {Count(profile.MaxWidth)} run at once, but for {Figures.Percent(below / span)} of the time fewer than {Figures.TimesNumber(mean)}"
            : $"Up to {Count(profile.MaxWidth)} run at once, {Figures.TimesNumber(mean)} on average";
    }

    private static string Count(int tasks) => $"{Figures.Count(tasks)} {(tasks == 1 ? "task" : "tasks")}";
}
