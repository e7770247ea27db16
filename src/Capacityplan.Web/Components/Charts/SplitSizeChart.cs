using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Web.Components.Charts;

/// <summary>Run time against how finely a phase is split.</summary>
public static class SplitSizeChart
{
    private const int Height = 340;

    /// <summary>Height of the axis, seconds, where no run takes any time.</summary>
    private const double NoTime = 1e-6;

    /// <summary>Maps a simulated curve to the chart.</summary>
    /// <param name="curve">The curve.</param>
    /// <param name="phase">The phase that is split otherwise, as it is now.</param>
    /// <param name="place">The pool it runs on.</param>
    public static ChartModel Build(GrainCurve curve, ParallelPhase phase, SimulatedPlace place)
    {
        double speed = place.Speed;
        GrainPoint now = Now(curve, phase);
        GrainPoint[] points = [.. curve.Points];
        double low = points.Min(point => Math.Min(point.MakespanSeconds.P05, point.MakespanSeconds.Mean)) / speed;
        double high = points.Max(point => Math.Max(point.MakespanSeconds.P95, point.MakespanSeconds.Mean)) / speed;
        ChartAxis y = TimeAxis(low, high);
        ChartPoint PointOf(GrainPoint point) => new(point.Grain, point.MakespanSeconds.Mean / speed);
        string best = curve.FlatFrom == curve.FlatTo
            ? $"best: {Figures.Count(curve.Best.Grain)}"
            : $"best near {Figures.Count(curve.Best.Grain)}";
        return new ChartModel
        {
            Name = "split-size",
            Title = Title(curve, now, phase.Name, speed),
            Subtitle = $"Run time of the job against the split size of {phase.Name} (logarithmic), on {place.Full}; {Figures.Count(curve.Completed)} simulated runs each",
            TextAlternative = $"Run time against split size: {Figures.Time(points[0].MakespanSeconds.Mean / speed)} at {Figures.Count(points[0].Grain)}, {Figures.Time(curve.Best.MakespanSeconds.Mean / speed)} at its best, {Figures.Count(curve.Best.Grain)}, and {Figures.Time(points[^1].MakespanSeconds.Mean / speed)} at {Figures.Count(points[^1].Grain)}.",
            X = new()
            {
                Title = $"most units of {phase.Name} that are not split further",
                Scale = AxisScale.Logarithmic,
                Low = points[0].Grain,
                High = points.Length > 1 ? points[^1].Grain : 2 * points[0].Grain,
                Ticks = AxisTicks.PowersOfTwo(points[0].Grain, points[^1].Grain),
            },
            Y = y,
            Height = Height,
            Zone = curve.FlatTo > curve.FlatFrom
                ? new(curve.FlatFrom, curve.FlatTo, $"within {Figures.Percent(GrainCurve.FlatShare)} of the best", $"{Figures.Count(curve.FlatFrom)} to {Figures.Count(curve.FlatTo)}")
                : null,
            Band = points.Select(point => new BandPoint(point.Grain, point.MakespanSeconds.P05 / speed, point.MakespanSeconds.P95 / speed)).ToValueList(),
            Lines =
            [
                new(LineRole.ClosedForm, points.Select(point => new ChartPoint(point.Grain, Math.Clamp(point.ExpectedSeconds / speed, y.Low, y.High))).ToValueList()),
                new(LineRole.Median, points.Select(PointOf).ToValueList()),
            ],
            Measured = [PointOf(now)],
            Chosen = curve.Best == now ? null : new(PointOf(curve.Best), best, "", HasPost: false),
            Notes = [new(PointOf(now), curve.Best == now ? $"now, and best: {Figures.Count(phase.Grain)}" : $"now: {Figures.Count(phase.Grain)}", NoteRole.Key) { Side = NoteSide(now, points), Offset = (4, -14) }],
            Readouts = points.Select(point => new Readout(point.Grain, point.MakespanSeconds.Mean / speed, Words(point, speed))).ToValueList(),
            Key = [KeySign.SimulatedMean, KeySign.SimulatedSpread, KeySign.ClosedForm],
            Table = Table(curve, now, speed),
        };
    }

    /// <summary>The phase as it is split now: the point of its own split size, else the one with the nearest number of pieces.</summary>
    private static GrainPoint Now(GrainCurve curve, ParallelPhase phase) =>
        curve.Points.MinBy(point => (point.Grain != Math.Min(phase.Grain, phase.Units), Math.Abs(Math.Log((double)point.Leaves / phase.Tree.Leaves))))!;

    private static int NoteSide(GrainPoint now, GrainPoint[] points)
    {
        int place = Array.IndexOf(points, now);
        return place * 3 < points.Length ? 1 : -1;
    }

    private static string Title(GrainCurve curve, GrainPoint now, string name, double speed)
    {
        double lost = now.SlowerSeconds / speed, best = curve.Best.MakespanSeconds.Mean / speed;
        if (now.Grain >= curve.FlatFrom && now.Grain <= curve.FlatTo)
        {
            string from = curve.FlatFrom > curve.Points[0].Grain ? $"from {Figures.Count(curve.FlatFrom)} to" : "up to";
            return curve.FlatTo > curve.FlatFrom
                ? $"The split size of {name} is fine: anything {from} {Figures.Count(curve.FlatTo)} is as good"
                : $"The split size of {name} is the best there is";
        }

        return now.Grain > curve.FlatTo
            ? $"Split {name} finer: {Figures.Difference(lost, best)} are lost to big pieces"
            : $"Split {name} coarser: {Figures.Difference(lost, best)} are lost to forks and joins";
    }

    private static ChartAxis TimeAxis(double low, double high)
    {
        if (low > 0 && high > 4 * low)
        {
            double from = low / 1.15, to = high * 1.3;
            return new() { Title = "", Scale = AxisScale.Logarithmic, Low = from, High = to, Ticks = AxisTicks.Times(from, to) };
        }

        double margin = high > 0 ? Math.Max(0.12 * (high - low), 0.005 * high) : NoTime;
        (double bottom, double top) = (Math.Max(0, low - margin), high + 2 * margin);
        ValueList<ChartTick> ticks = AxisTicks.EvenTimes(bottom, top, out string unit);
        return new() { Title = unit, Scale = AxisScale.Linear, Low = bottom, High = top, Ticks = ticks };
    }

    private static string Words(GrainPoint point, double speed) =>
        $"{Figures.Count(point.Grain)}: {Figures.Time(point.MakespanSeconds.Mean / speed)}, {Figures.Count(point.Leaves)} pieces, work {Figures.Percent(point.Shares.Work)}, forks and joins {Figures.Percent(point.Shares.Overhead)}, idle {Figures.Percent(point.Shares.Idle)}";

    private static ChartTable Table(GrainCurve curve, GrainPoint now, double speed) => new(
        ["split size", "pieces", "run time", "9 runs in 10", "slower than the best", "closed form", "steals"],
        curve.Points.Select(point => new TableRow(
        [
            Figures.Count(point.Grain), Figures.Count(point.Leaves), Figures.Time(point.MakespanSeconds.Mean / speed),
            Figures.TimeRange(point.MakespanSeconds.P05 / speed, point.MakespanSeconds.P95 / speed),
            point.SlowerSeconds > 0 ? Figures.Percent(point.SlowerSeconds / curve.Best.MakespanSeconds.Mean) : "best",
            Figures.Time(point.ExpectedSeconds / speed), Figures.Count(Math.Round(point.MeanSteals)),
        ], point == now)).ToValueList());
}
