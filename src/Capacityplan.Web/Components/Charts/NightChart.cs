using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>The jobs of a night on the chosen machine: a bar each, across the window.</summary>
public static class NightChart
{
    /// <summary>Height of a row; a job has two, one for its name and one for its bar.</summary>
    private const int RowHeight = 19;

    private const int AroundRows = 86;

    /// <summary>A longer name is cut in the picture; the table has all of it.</summary>
    private const int LongestName = 22;

    /// <summary>Maps a night to the chart; null where the plan has the night to itself, or no machine is shown.</summary>
    /// <param name="result">What the plan comes to.</param>
    public static ChartModel? Build(PlanResult result)
    {
        if (result is not { NightOnChoice: { } schedule, Verdict.Choice: { } choice, Plan: { SharedNight: { } night } plan })
            return null;
        double startUp = choice.Machine.StartUpSeconds;
        double end = startUp + schedule.Seconds;
        double high = 1.04 * Math.Max(end, plan.Window?.Seconds ?? 0);
        ValueList<ChartTick> ticks = AxisTicks.EvenTimes(0, high, out string unit);
        int jobs = schedule.Runs.Length;
        string[] names = [.. Enumerable.Range(0, jobs).Select(job => NameOf(plan, night, job))];
        // Right of where the machine has started, as long as that leaves room for them.
        double labelsAt = Math.Min(startUp, 0.15 * high);
        string title = TitleOf(choice, plan, jobs);
        return new ChartModel
        {
            Name = "night",
            Title = title,
            Subtitle = $"Each job against time, {unit} from when the machine is asked for, at its usual time{(schedule.SharesCores ? "; jobs side by side share the cores" : "")}",
            TextAlternative = $"{title}. {string.Join(". ", schedule.Runs.OrderBy(run => run.StartSeconds).Select(run => Words(run, names[run.Job], startUp)))}.",
            X = new() { Title = unit, Scale = AxisScale.Linear, Low = 0, High = high, Ticks = ticks },
            // The plan's own job stands at the top.
            Y = new() { Title = "", Scale = AxisScale.Linear, Low = 2 * jobs - 0.4, High = -0.6, Ticks = [] },
            Height = 2 * jobs * RowHeight + AroundRows,
            Stretches = schedule.Runs.Select(run => new RowStretch(
                2 * run.Job + 1, startUp + run.StartSeconds, startUp + run.EndSeconds, run.Job == 0 ? TimeUse.OwnJob : TimeUse.OtherJob, Words(run, names[run.Job], startUp))).ToValueList(),
            Notes = schedule.Runs.Select(run => new ChartNote(new(labelsAt, 2 * run.Job), Label(run, names[run.Job]), run.Job == 0 ? NoteRole.Key : NoteRole.Quiet) { Side = 1, Offset = (4, 2) }).ToValueList(),
            Uprights = startUp > 0.01 * high ? [new Upright(startUp, "started", IsKey: false)] : [],
            Window = plan.Window is { } window ? ChartWindow.Upright(window) : null,
            Table = Table(schedule, night, names, startUp),
        };
    }

    private static string TitleOf(MachineOutcome choice, Plan plan, int jobs)
    {
        double median = choice.StartToFinishSeconds.Median;
        string all = $"On {choice.Machine.Name} the {ChartWords.Number(jobs)} jobs of the night take {Figures.Time(median)}";
        if (plan.Window is not { } window)
            return all;
        string apart = Figures.Difference(Math.Abs(window.Seconds - median), window.Seconds);
        return median <= window.Seconds ? $"{all}, {apart} inside the window" : $"{all}, {apart} past the window";
    }

    private static string NameOf(Plan plan, SharedNight night, int job) =>
        (job == 0 ? plan.Name : night.Others[job - 1].Plan.Name) is { Length: > 0 } name ? name : job == 0 ? "this plan's job" : $"job {job + 1}";

    /// <summary>What stands over a bar; where that begins and ends can be seen.</summary>
    private static string Label(in NightRun run, string name) =>
        $"{(name.Length > LongestName ? name[..(LongestName - 1)].TrimEnd() + "…" : name)}: {Figures.Count(Math.Round(run.Cores, 1))} {(run.Cores == 1 ? "core" : "cores")}, {Figures.Time(run.EndSeconds - run.StartSeconds)}";

    private static string Words(in NightRun run, string name, double startUp) =>
        $"{name}: {ChartWords.CoresWorth(Math.Round(run.Cores, 1))}, {Figures.Time(run.EndSeconds - run.StartSeconds)} from {From(startUp + run.StartSeconds)} on";

    private static string From(double seconds) => seconds > 0 ? Figures.Time(seconds) : "the start";

    private static ChartTable Table(NightSchedule schedule, SharedNight night, string[] names, double startUp) => new(
        ["job", "after", "starts", "ends", "takes", "cores’ worth"],
        schedule.Runs.Select(run => new TableRow(
        [
            names[run.Job],
            night.After[run.Job].IsEmpty ? "none" : ChartWords.List([.. night.After[run.Job].Select(before => names[before])]),
            Figures.Time(startUp + run.StartSeconds),
            Figures.Time(startUp + run.EndSeconds),
            Figures.Time(run.EndSeconds - run.StartSeconds),
            Figures.Count(Math.Round(run.Cores, 1)),
        ])).ToValueList());
}
