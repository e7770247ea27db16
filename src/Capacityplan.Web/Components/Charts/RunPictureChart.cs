using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Web.Components.Charts;

/// <summary>One simulated run: workers as rows, what each did across time.</summary>
public static class RunPictureChart
{
    // Rows are as high as they can be while all of them are seen at once.
    private const double HighestRow = 16;
    private const double MostPixels = 460;
    private const double LabelHeight = 14;

    /// <summary>Fewer busy workers than this share, for longer than <see cref="WorthAWord"/> of a phase, is worth a word.</summary>
    private const double FewBusy = 0.5;
    private const double WorthAWord = 0.02;

    /// <summary>Maps a run to the chart.</summary>
    /// <param name="picture">The run.</param>
    /// <param name="place">The pool it ran on.</param>
    /// <param name="from">Where the part shown begins, as a share of the run.</param>
    /// <param name="to">Where it ends; above <paramref name="from"/>.</param>
    public static ChartModel Build(RunPicture picture, SimulatedPlace place, double from = 0, double to = 1)
    {
        double makespan = picture.Run.MakespanSeconds / place.Speed;
        AxisTicks.EvenTimes(0, makespan, out string unit);
        double size = AxisTicks.SizeOf(makespan);
        double scale = 1 / (place.Speed * size);
        Dictionary<int, int> rows = picture.Rows.Select((worker, row) => (worker, row)).ToDictionary(pair => pair.worker, pair => pair.row);
        double rowHeight = Math.Min(HighestRow, MostPixels / rows.Count);
        // A run may take no time at all.
        (double low, double high) = makespan > 0 ? (from * makespan / size, to * makespan / size) : (0, 1);
        return new ChartModel
        {
            Name = "run-picture",
            Title = Title(picture, place.Speed),
            Subtitle = Subtitle(picture, place, unit),
            TextAlternative = $"{Title(picture, place.Speed)}. The run takes {Figures.Time(makespan)}; {string.Join(", ", picture.Phases.Select(phase => $"{phase.Name} {Figures.Time((phase.EndSeconds - phase.StartSeconds) / place.Speed)}"))}.",
            X = new() { Title = unit, Scale = AxisScale.Linear, Low = low, High = high, Ticks = [] },
            // Worker 0 stands at the top.
            Y = new() { Title = "worker", Scale = AxisScale.Linear, Low = rows.Count - 0.4, High = -0.6, Ticks = RowTicks(picture.Rows, rowHeight) },
            Height = (int)(rowHeight * rows.Count) + 76,
            ZoomsAlongX = true,
            Stretches = picture.Segments
                .Select(segment => Stretch(segment, picture, rows[segment.Worker], scale, place.Speed))
                .Where(stretch => stretch.Use != TimeUse.Idle)
                .ToValueList(),
            Uprights = picture.Phases.Skip(1).Select(phase => new Upright(phase.StartSeconds * scale, "", IsKey: false))
                .Where(upright => upright.X > low && upright.X < high).ToValueList(),
            Key = picture.MergedSegments > 0
                ? [KeySign.RunningTime, KeySign.SerialTime, KeySign.StealingTime, KeySign.MixedTime]
                : [KeySign.RunningTime, KeySign.SerialTime, KeySign.StealingTime],
            Table = Table(picture, place.Speed),
        };
    }

    private static string Subtitle(RunPicture picture, SimulatedPlace place, string unit)
    {
        // A place that is no machine is called by its workers.
        string of = place.Full == place.Name ? "" : $" of {place.Name}";
        string rows = picture.Rows.Count < picture.Pool.Workers
            ? $"{Figures.Count(picture.Rows.Count)} of {Figures.Count(picture.Pool.Workers)} workers{of}, those that ended a phase among them,"
            : $"{(picture.Pool.Workers == 1 ? "The one worker" : $"All {Figures.Count(picture.Pool.Workers)} workers")}{of}";
        string merged = picture.MergedSegments > 0 ? $" {Figures.Count(picture.MergedSegments)} of the shortest stretches are put together." : "";
        return $"{rows} against time, {unit}: a run of about the median time. Where nothing is drawn a worker waits.{merged}";
    }

    private static string Title(RunPicture picture, double speed)
    {
        (RunPhase Phase, double Head, double Tail)[] parallel = [.. picture.Phases.Index()
            .Where(phase => phase.Item.IsParallel && phase.Item.EndSeconds > phase.Item.StartSeconds)
            .Select(phase =>
            {
                (double head, double tail) = Ends(picture, phase.Index);
                return (phase.Item, Head: head, Tail: tail);
            })];
        if (parallel.Length == 0)
            return "One worker runs while the others wait";
        (RunPhase Phase, double Head, double Tail) worst = parallel.MaxBy(phase => Math.Max(phase.Head, phase.Tail));
        double length = worst.Phase.EndSeconds - worst.Phase.StartSeconds;
        // What the worker that ended the phase did last says what the others waited for.
        RunSegment last = picture.Segments.LastOrDefault(segment => segment.EndSeconds == worst.Phase.EndSeconds && segment.Worker == worst.Phase.LastWorker);
        bool joins = last.Time.Overhead > 0.5 * worst.Tail;
        return (worst.Head / length, worst.Tail / length) switch
        {
            var (head, tail) when Math.Max(head, tail) < WorthAWord => "Nearly all workers are busy from the start of each parallel phase to its end",
            var (head, tail) when tail >= head && joins =>
                $"The last joins of {worst.Phase.Name} take {Figures.Time(worst.Tail / speed)}, with fewer than half the workers at it",
            var (head, tail) when tail >= head => $"Stragglers: for the last {Figures.Time(worst.Tail / speed)} of {worst.Phase.Name} fewer than half the workers have work",
            _ => $"A slow start: {worst.Phase.Name} takes {Figures.Time(worst.Head / speed)} until half the workers have work",
        };
    }

    /// <summary>How long, from a phase's start and to its end, fewer than half of the rows have work, seconds.</summary>
    private static (double Head, double Tail) Ends(RunPicture picture, int phase)
    {
        RunSegment[] busy = [.. picture.Segments.Where(segment => segment.Phase == phase && (segment.Activity is RunActivity.Running or RunActivity.Mixed))];
        RunPhase of = picture.Phases[phase];
        double enough = FewBusy * picture.Rows.Count;
        int count = 0;
        double first = of.EndSeconds, last = of.StartSeconds;
        foreach ((double seconds, int change) in busy
            .SelectMany(segment => ((double, int)[])[(segment.StartSeconds, 1), (segment.EndSeconds, -1)])
            .OrderBy(step => step.Item1).ThenBy(step => step.Item2))
        {
            bool before = count >= enough;
            count += change;
            if (!before && count >= enough)
                first = Math.Min(first, seconds);
            if (before && count < enough)
                last = seconds;
        }

        return first >= of.EndSeconds ? (0, of.EndSeconds - of.StartSeconds) : (first - of.StartSeconds, of.EndSeconds - last);
    }

    private static RowStretch Stretch(RunSegment segment, RunPicture picture, int row, double scale, double speed)
    {
        TimeUse use = segment.Activity switch
        {
            RunActivity.Running => TimeUse.Running,
            RunActivity.Serial => TimeUse.Serial,
            RunActivity.Stealing => TimeUse.Stealing,
            RunActivity.Mixed => TimeUse.Mixed,
            _ => TimeUse.Idle,
        };
        string what = segment.Activity switch
        {
            RunActivity.Running => segment.FirstUnit >= 0
                ? $"{Figures.Count(segment.Units)} {(segment.Units == 1 ? "unit" : "units")} from {Figures.Count(segment.FirstUnit)} on"
                : "joins",
            RunActivity.Serial => "the serial phase",
            RunActivity.Stealing => "a steal",
            _ => $"{Figures.Count(segment.Merged)} short stretches",
        };
        return new(
            row, segment.StartSeconds * scale, segment.EndSeconds * scale, use,
            $"worker {Figures.Count(segment.Worker)}, {picture.Phases[segment.Phase].Name}: {what}, {Figures.Time(segment.Seconds / speed)}");
    }

    private static ValueList<ChartTick> RowTicks(IReadOnlyList<int> rows, double rowHeight)
    {
        int step = (int)Math.Ceiling(LabelHeight / rowHeight);
        return rows.Select((worker, row) => (worker, row)).Where(pair => pair.row % step == 0)
            .Select(pair => new ChartTick(pair.row, Figures.Count(pair.worker))).ToValueList();
    }

    private static ChartTable Table(RunPicture picture, double speed) => new(
        ["worker", "work", "forks and joins", "stealing", "looking for work", "serial", "waiting"],
        picture.Rows.Select(worker =>
        {
            WorkerTime time = picture.WorkerTimes[worker];
            return new TableRow(
            [
                Figures.Count(worker), Figures.Time(time.Work / speed), Figures.Time(time.Overhead / speed), Figures.Time(time.Stealing / speed),
                Figures.Time((time.Idle + time.Waking) / speed), Figures.Time(time.Serial / speed), Figures.Time(time.Waiting / speed),
            ]);
        }).ToValueList());
}
