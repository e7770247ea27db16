using System.Collections.Immutable;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Plans;

namespace Capacityplan.Web.Components.Charts;

/// <summary>A schedule of a task graph: cores as rows, the tasks they run across time.</summary>
public static class ScheduleChart
{
    /// <summary>About so many stretches are drawn, however many tasks there are.</summary>
    private const int MostStretches = 1_000;

    private const double HighestRow = 16;
    private const double MostPixels = 460;
    private const double LabelHeight = 14;

    private static readonly TimeUse[] s_kinds = [TimeUse.FirstKind, TimeUse.SecondKind, TimeUse.ThirdKind, TimeUse.FourthKind, TimeUse.FifthKind, TimeUse.OtherKind];

    /// <summary>How many units of the time axis the whole schedule takes.</summary>
    public static double UnitsOfWhole(GraphLook look) =>
        look.Stretches.Schedule.MakespanSeconds is > 0 and var makespan ? makespan / AxisTicks.SizeOf(makespan) : 1;

    /// <summary>Maps a schedule to the chart.</summary>
    /// <param name="study">The graph.</param>
    /// <param name="look">The schedule.</param>
    /// <param name="from">Where the part shown begins, as a share of the schedule.</param>
    /// <param name="to">Where it ends; above <paramref name="from"/>.</param>
    public static ChartModel Build(GraphStudy study, GraphLook look, double from = 0, double to = 1)
    {
        double makespan = look.Stretches.Schedule.MakespanSeconds;
        AxisTicks.EvenTimes(0, makespan, out string unit);
        double size = AxisTicks.SizeOf(makespan);
        ImmutableArray<int> workers = look.Stretches.Rows;
        Dictionary<int, int> rows = workers.Select((worker, row) => (worker, row)).ToDictionary(pair => pair.worker, pair => pair.row);
        double rowHeight = Math.Min(HighestRow, MostPixels / rows.Count);
        ImmutableArray<ScheduleStretch> stretches = look.Stretches.Between(from * makespan, to * makespan, MostStretches);
        int merged = stretches.Where(stretch => stretch.Tasks > 1).Sum(stretch => stretch.Tasks);
        (double low, double high) = makespan > 0 ? (from * makespan / size, to * makespan / size) : (0, 1);
        string busy = Figures.Percent(makespan > 0 ? study.Job.Graph.WorkSeconds / (makespan * look.Cores) : 1);
        string title = $"On {Cores(look.Cores)} the tasks take {Figures.Time(makespan)}, the cores busy for {busy} of it";
        return new ChartModel
        {
            Name = "schedule",
            Title = title,
            Subtitle = Subtitle(look, workers.Length, unit, merged),
            TextAlternative = $"{title}. The schedule is the best found, costs of the pool not counted.",
            X = new() { Title = unit, Scale = AxisScale.Linear, Low = low, High = high, Ticks = [] },
            // Core 0 stands at the top.
            Y = new() { Title = "core", Scale = AxisScale.Linear, Low = rows.Count - 0.4, High = -0.6, Ticks = RowTicks(workers, rowHeight) },
            Height = (int)(rowHeight * rows.Count) + 76,
            ZoomsAlongX = true,
            Stretches = stretches.Select(stretch => new RowStretch(
                rows[stretch.Worker], stretch.StartSeconds / size, stretch.EndSeconds / size,
                stretch.Kind < 0 ? TimeUse.Mixed : s_kinds[Math.Min(stretch.Kind, s_kinds.Length - 1)], Words(stretch, study))).ToValueList(),
            Kinds = study.Kinds.Names.Select((name, kind) => new KindSign(s_kinds[Math.Min(kind, s_kinds.Length - 1)], name)).ToValueList(),
            Key = stretches.Any(stretch => stretch.Kind < 0) ? [KeySign.MixedTime] : [],
            Table = Table(look, makespan),
        };
    }

    private static string Subtitle(GraphLook look, int rows, string unit, int merged)
    {
        string cores = rows < look.Cores ? $"{Figures.Count(rows)} of {Figures.Count(look.Cores)} cores, the one that ends last among them," : look.Cores == 1 ? "The one core" : $"All {Figures.Count(look.Cores)} cores";
        string together = merged > 0 ? $" {Figures.Count(merged)} short tasks are put together; look closer to tell them apart." : "";
        return $"{cores} against time, {unit}: the best schedule found. Where nothing is drawn a core waits.{together}";
    }

    private static string Words(in ScheduleStretch stretch, GraphStudy study)
    {
        string what = stretch.Tasks == 1
            ? study.Job.Graph.Id(stretch.Task)
            : $"{Figures.Count(stretch.Tasks)} tasks{(stretch.Kind >= 0 ? " of " + study.Kinds.Names[stretch.Kind] : "")}";
        return $"core {Figures.Count(stretch.Worker)}: {what}, {Figures.Time(stretch.EndSeconds - stretch.StartSeconds)} from {Figures.Time(stretch.StartSeconds)} on";
    }

    private static ValueList<ChartTick> RowTicks(ImmutableArray<int> workers, double rowHeight)
    {
        int step = (int)Math.Ceiling(LabelHeight / rowHeight);
        return workers.Select((worker, row) => (worker, row)).Where(pair => pair.row % step == 0)
            .Select(pair => new ChartTick(pair.row, Figures.Count(pair.worker))).ToValueList();
    }

    private static ChartTable Table(GraphLook look, double makespan)
    {
        double[] busy = new double[look.Cores];
        int[] tasks = new int[look.Cores];
        foreach (ScheduledTask task in look.Stretches.Schedule.Tasks)
        {
            busy[task.Worker] += task.EndSeconds - task.StartSeconds;
            tasks[task.Worker]++;
        }

        return new(
            ["core", "tasks", "busy", "waits"],
            look.Stretches.Rows.Select(worker => new TableRow(
            [
                Figures.Count(worker), Figures.Count(tasks[worker]), Figures.Time(busy[worker]), Figures.Time(Math.Max(0, makespan - busy[worker])),
            ])).ToValueList());
    }

    private static string Cores(int cores) => cores == 1 ? "1 core" : $"{Figures.Count(cores)} cores";
}
