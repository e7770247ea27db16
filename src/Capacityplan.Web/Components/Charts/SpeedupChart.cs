using Capacityplan.Core.Fitting;
using Capacityplan.Core.Laws;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>Speedup against cores.</summary>
public static class SpeedupChart
{
    private const int Height = 404;

    /// <summary>Maps a result to the chart. A speedup is the same at every core speed.</summary>
    /// <param name="result">The plan's result.</param>
    /// <param name="view">What of it to show.</param>
    public static ChartModel Build(PlanResult result, ScalingChartView view)
    {
        var scaling = new ScalingPicture(result, view);
        if (scaling.Curve is not { } curve)
            return WithoutCurve(result.Plan.Timings);

        double? limit = scaling.SpeedupLimit;
        ChartAxis y = SpeedupAxis(scaling, curve);
        double bestAtEnd = scaling.OneCoreSeconds(curve) * view.CoreSpeed / curve.Last.FloorSeconds;
        bool limitIsDrawn = limit is { } most && most < y.High && most < 1.2 * bestAtEnd;
        return new ChartModel
        {
            Name = "speedup",
            Title = Title(scaling, curve),
            Subtitle = Subtitle(limit, limitIsDrawn),
            TextAlternative = TextAlternative(scaling, curve),
            X = scaling.CoreAxis(curve),
            Y = y,
            Height = Height,
            Band = curve.Points.Select(point => new BandPoint(point.Cores, point.Speedup.Low, point.Speedup.High)).ToValueList(),
            Lines = Lines(scaling, curve, y),
            Measured = scaling.MeasuredRuns.Select(run => new ChartPoint(run.Cores, scaling.OneCoreSeconds(curve) / run.Seconds)).ToValueList(),
            Readouts = scaling.Readouts(curve, point => point.Speedup.Median),
            MeasuredEnd = curve.MeasuredUpTo is { } cores ? new(cores, 0, "", "") : null,
            Chosen = scaling.Chosen is { } chosen && scaling.IsOnAxis(chosen, curve) ? ChosenOn(chosen, scaling, curve) : null,
            Notes = Notes(limit, limitIsDrawn, curve, y),
            Key = scaling.Key(curve, [.. view.ShowAmdahl ? [KeySign.Amdahl] : Array.Empty<KeySign>(), .. view.ShowGustafson ? [KeySign.Gustafson] : Array.Empty<KeySign>()]),
            Table = scaling.Table(curve),
        };
    }

    /// <summary>The chart before there is a result.</summary>
    /// <param name="timings">What was measured; may be empty.</param>
    public static ChartModel WithoutCurve(IReadOnlyCollection<Timing> timings)
    {
        var uncurved = new UncurvedTimings(timings, null);
        ChartMessage message = uncurved.Message with { KeepsPoints = false };
        return new()
        {
            Name = "speedup",
            Title = "No speedup yet",
            Subtitle = "Axes dotted: nothing to compare yet",
            TextAlternative = $"No curve. {message.Text} {message.Then}",
            X = uncurved.CoreAxis with { Ticks = [] },
            Y = new() { Title = "times faster", Scale = AxisScale.Logarithmic, Low = 1, High = 8, Ticks = [] },
            Height = Height,
            Table = uncurved.Table,
            Message = message,
        };
    }

    private static string Title(ScalingPicture scaling, DrawnCurve curve)
    {
        ForecastPoint far = curve.Last.Cores > 64 && curve.First.Cores < 64 ? curve.At(64) : curve.Last;
        double nearCores = scaling.Chosen?.EffectiveCores is { } cores && cores < far.Cores * 0.6 ? cores : Math.Sqrt(far.Cores) is var middle && middle > 2 ? Math.Round(middle) : 2;
        ForecastPoint near = curve.At(Math.Clamp(nearCores, curve.First.Cores, far.Cores));
        string finding = (far.Speedup.Median / far.Cores) switch
        {
            >= 0.8 => "Speedup holds up",
            >= 0.5 => "Speedup bends slowly",
            _ when near.Speedup.Median > far.Speedup.Median => "Speedup turns back",
            _ => "Speedup bends early",
        };
        return near.Cores < far.Cores
            ? $"{finding}: {Plain(near.Speedup.Median)}{Figures.NoBreakSpace}times at {ChartWords.Number(near.Cores)}, {Plain(far.Speedup.Median)} at {ChartWords.Number(far.Cores)}"
            : $"{finding}: {Figures.Times(far.Speedup.Median)} at {ChartWords.Number(far.Cores)}";
    }

    /// <summary>A speedup in a title, where a closing zero only weighs.</summary>
    private static string Plain(double speedup) =>
        Figures.TimesNumber(speedup) is var written && written.EndsWith(".0", StringComparison.Ordinal) ? written[..^2] : written;

    private static string Subtitle(double? limit, bool limitIsDrawn)
    {
        string atMost = limit is { } most && !limitIsDrawn ? $" At most {Figures.Times(most)}, however many cores." : "";
        return $"Times faster than one core. Both axes logarithmic.{atMost}";
    }

    private static string TextAlternative(ScalingPicture scaling, DrawnCurve curve)
    {
        string onChosen = scaling.Chosen is { } chosen
            ? $"{Figures.Times(scaling.SpeedupOn(chosen, curve))} on {chosen.Machine.Name}, "
            : "";
        string limit = scaling.SpeedupLimit is { } most ? $"; never more than {Figures.Times(most)}, however many cores" : "";
        return $"Speedup against cores, both axes logarithmic: {onChosen}{Figures.Times(curve.Last.Speedup.Median)} on {ChartWords.Cores(curve.Last.Cores)}{limit}.";
    }

    private static ChosenPoint ChosenOn(MachineOutcome chosen, ScalingPicture scaling, DrawnCurve curve)
    {
        double speedup = scaling.SpeedupOn(chosen, curve);
        return new(
            new(chosen.EffectiveCores, speedup),
            $"{chosen.Machine.Name}: {Figures.Times(speedup)}",
            $"{Figures.Percent(Math.Min(1, speedup / chosen.EffectiveCores))} of each core used",
            HasPost: false);
    }

    private static ChartAxis SpeedupAxis(ScalingPicture scaling, DrawnCurve curve)
    {
        double one = scaling.OneCoreSeconds(curve) * scaling.View.CoreSpeed;
        // The band may reach past what any scheduler can do; the axis need not follow it there.
        double low = curve.Points.Min(point => point.Speedup.Median);
        double high = curve.Points.Max(point => Math.Max(point.Speedup.Median, one / point.FloorSeconds)) * 1.3;
        if (scaling.View.ShowGustafson)
            high = Math.Max(high, curve.Last.Cores);
        // A little below 1, so that runs on one core are not cut off.
        low = (low < 0.98 ? Math.Pow(2, Math.Floor(Math.Log2(low))) : 1) * 0.93;
        high = Math.Max(2, Math.Pow(2, Math.Ceiling(Math.Log2(high) - 1e-9)));
        return new()
        {
            Title = "times faster",
            Scale = AxisScale.Logarithmic,
            Low = low,
            High = high,
            Ticks = AxisTicks.PowersOfTwo(low, high),
        };
    }

    private static ValueList<ChartLine> Lines(ScalingPicture scaling, DrawnCurve curve, ChartAxis y)
    {
        double one = scaling.OneCoreSeconds(curve) * scaling.View.CoreSpeed;
        double part = scaling.BoundsPartFrom(curve);
        double perfectTo = Math.Min(curve.Last.Cores, y.High);
        var lines = new List<ChartLine>
        {
            new(LineRole.Perfect, [new(1, 1), new(perfectTo, perfectTo)]),
            new(LineRole.Floor, curve.Points.Select(point => new ChartPoint(point.Cores, one / point.FloorSeconds)).ToValueList())
            {
                Impossible = ImpossibleSide.Above,
                HatchedFrom = part,
            },
            new(LineRole.Ceiling, curve.Points.Select(point => new ChartPoint(point.Cores, one / point.GreedyCeilingSeconds)).ToValueList())
            {
                Impossible = ImpossibleSide.Below,
                HatchedFrom = part,
            },
        };
        double serial = scaling.Result.Forecast.SerialFraction;
        if (scaling.View.ShowAmdahl)
            lines.Add(Law(LineRole.Amdahl, "Amdahl", cores => Amdahl.Speedup(serial, cores)));
        if (scaling.View.ShowGustafson)
            lines.Add(Law(LineRole.Gustafson, "Gustafson", cores => Gustafson.Speedup(serial, cores)));
        lines.AddRange(scaling.Medians(curve, point => point.Speedup.Median));
        return lines.ToValueList();

        ChartLine Law(LineRole role, string name, Func<double, double> speedup) =>
            new(role, curve.Points.Select(point => new ChartPoint(point.Cores, speedup(point.Cores))).ToValueList()) { Label = name };
    }

    private static ValueList<ChartNote> Notes(double? limit, bool limitIsDrawn, DrawnCurve curve, ChartAxis y)
    {
        var notes = new List<ChartNote>();
        double perfectAt = Math.Min(curve.Last.Cores, y.High);
        double place = Math.Pow(perfectAt, 0.82);
        notes.Add(new(new(place, place), "perfect", NoteRole.Quiet) { Side = -1, Offset = (-10, -4) });
        if (limitIsDrawn)
            notes.Add(new(new(curve.Last.Cores, limit!.Value), $"{Figures.Times(limit.Value)} at most", NoteRole.Key) { Side = -1, Offset = (0, -16) });
        return notes.ToValueList();
    }
}
