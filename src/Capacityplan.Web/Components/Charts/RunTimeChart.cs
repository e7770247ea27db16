using Capacityplan.Core.Fitting;
using Capacityplan.Core.Laws;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>Run time against cores.</summary>
public static class RunTimeChart
{
    private const int Height = 500;

    /// <summary>Maps a result to the chart.</summary>
    /// <param name="result">The plan's result.</param>
    /// <param name="view">What of it to show.</param>
    public static ChartModel Build(PlanResult result, ScalingChartView view)
    {
        var scaling = new ScalingPicture(result, view);
        if (scaling.Curve is not { } curve)
            return WithoutCurve(result.Plan.Timings);

        double speed = view.CoreSpeed;
        ChartAxis y = TimeAxis(scaling, curve);
        return new ChartModel
        {
            Name = "run-time",
            Title = Title(scaling, curve),
            Subtitle = $"Run time against cores, {scaling.AtWhichSpeed}{scaling.PointsMoved}. Both axes logarithmic.",
            TextAlternative = TextAlternative(scaling, curve),
            X = scaling.CoreAxis(curve),
            Y = y,
            Height = Height,
            Band = curve.Points.Select(point => new BandPoint(point.Cores, point.Seconds.Low / speed, point.Seconds.High / speed)).ToValueList(),
            Lines = Lines(scaling, curve),
            Measured = scaling.MeasuredRuns.Select(run => new ChartPoint(run.Cores, run.Seconds)).ToValueList(),
            Readouts = scaling.Readouts(curve, point => point.Seconds.Median / speed),
            Posts = scaling.Posts(curve),
            Window = y.Ticks.Any(tick => tick.IsWindow) && scaling.Window is { } window ? ChartWindow.Across(window) : null,
            MeasuredEnd = scaling.MeasuredEnd(curve, curve.MeasuredUpTo is { } cores ? curve.At(cores).Seconds.Median / speed : 0),
            Chosen = scaling.Chosen is { } chosen && scaling.IsOnAxis(chosen, curve)
                ? new(new(chosen.EffectiveCores, chosen.RunSeconds.Median), $"{chosen.Machine.Name}, {Figures.Time(chosen.RunSeconds.Median)}", "", HasPost: true)
                : null,
            Shares = ScalingShares.Of(scaling, curve),
            Key = scaling.Key(curve, view.ShowAmdahl ? [KeySign.Amdahl] : []),
            Table = scaling.Table(curve),
        };
    }

    /// <summary>The chart before there is a result.</summary>
    /// <param name="timings">What was measured; may be empty.</param>
    /// <param name="problem">Why no curve could be drawn through them; null where it is only that there are too few.</param>
    public static ChartModel WithoutCurve(IReadOnlyCollection<Timing> timings, ChartMessage? problem = null) =>
        Nothing(new UncurvedTimings(timings, problem));

    private static string Title(ScalingPicture scaling, DrawnCurve curve)
    {
        double limit = scaling.LimitSeconds / scaling.View.CoreSpeed;
        string reached, found;
        double reachedSeconds;
        if (scaling.Chosen is { } chosen)
        {
            reachedSeconds = chosen.RunSeconds.Median;
            reached = Figures.Time(reachedSeconds);
            found = $"{ChartWords.CoresBring(chosen)} it to {reached}";
        }
        else
        {
            reachedSeconds = curve.Last.Seconds.Median / scaling.View.CoreSpeed;
            reached = Figures.Time(reachedSeconds);
            found = $"From {Figures.Time(curve.First.Seconds.Median / scaling.View.CoreSpeed)} on {ChartWords.Cores(curve.First.Cores)} to "
                + $"{reached} on {Figures.Count(curve.Last.Cores)}";
        }

        // A span far below what any machine here reaches is no finding.
        return limit >= 0.01 * reachedSeconds
            ? $"{found}; no number of cores brings it under {ChartWords.After(reached, Figures.Time(limit))}"
            : found;
    }

    private static string TextAlternative(ScalingPicture scaling, DrawnCurve curve)
    {
        double speed = scaling.View.CoreSpeed;
        string onChosen = scaling.Chosen is { } chosen ? $"{Figures.Time(chosen.RunSeconds.Median)} on {chosen.Machine.Name} and " : "";
        string floor = scaling.Result.Forecast.SpanSeconds > 0
            ? $"; the floor is {Figures.Time(scaling.Result.Forecast.SpanSeconds / speed)}"
            : "";
        string window = scaling.Window is { } open ? $"; the window is {Figures.Time(open.Seconds)}" : "";
        return $"Run time against cores, both axes logarithmic. The median falls from {Figures.Time(curve.First.Seconds.Median / speed)} on "
            + $"{ChartWords.Cores(curve.First.Cores)} to {onChosen}{Figures.Time(curve.Last.Seconds.Median / speed)} on "
            + $"{ChartWords.Cores(curve.Last.Cores)}{floor}{window}.";
    }

    private static ChartAxis TimeAxis(ScalingPicture scaling, DrawnCurve curve)
    {
        double speed = scaling.View.CoreSpeed;
        double low = curve.Points.Min(point => Math.Min(point.FloorSeconds, point.Seconds.Low)) / speed;
        double high = curve.Points.Max(point => Math.Max(point.GreedyCeilingSeconds, point.Seconds.High)) / speed;
        if (scaling.MeasuredRuns.Count > 0)
        {
            low = Math.Min(low, scaling.MeasuredRuns.Min(run => run.Seconds));
            high = Math.Max(high, scaling.MeasuredRuns.Max(run => run.Seconds));
        }

        // A window far outside would flatten the curve; then it is left to the text.
        bool hasWindow = scaling.Window is { } window && window.Seconds > low / 5 && window.Seconds < high * 5;
        if (hasWindow)
        {
            low = Math.Min(low, scaling.Window!.Seconds);
            high = Math.Max(high, scaling.Window.Seconds);
        }

        double room = Math.Pow(high / low, 0.07);
        var axis = new ChartAxis
        {
            Title = "run time",
            Scale = AxisScale.Logarithmic,
            Low = low / room / room,
            High = high * room,
            Ticks = [],
        };
        ValueList<ChartTick> ticks = AxisTicks.Times(axis.Low, axis.High);
        return axis with
        {
            Ticks = hasWindow
                ? AxisTicks.With(ticks, axis, new(scaling.Window!.Seconds, Figures.Time(scaling.Window.Seconds), IsWindow: true), 0.045)
                : ticks,
        };
    }

    private static ValueList<ChartLine> Lines(ScalingPicture scaling, DrawnCurve curve)
    {
        double speed = scaling.View.CoreSpeed;
        double part = scaling.BoundsPartFrom(curve);
        var lines = new List<ChartLine>
        {
            new(LineRole.Ceiling, curve.Points.Select(point => new ChartPoint(point.Cores, point.GreedyCeilingSeconds / speed)).ToValueList())
            {
                Label = "ceiling",
                Impossible = ImpossibleSide.Above,
                HatchedFrom = part,
            },
            new(LineRole.Floor, curve.Points.Select(point => new ChartPoint(point.Cores, point.FloorSeconds / speed)).ToValueList())
            {
                Label = "floor",
                Impossible = ImpossibleSide.Below,
                HatchedFrom = part,
            },
        };
        if (scaling.View.ShowAmdahl)
        {
            double serial = scaling.Result.Forecast.SerialFraction, one = scaling.Result.Forecast.WorkSeconds / speed;
            lines.Add(new(
                LineRole.Amdahl,
                curve.Points.Select(point => new ChartPoint(point.Cores, one / Amdahl.Speedup(serial, point.Cores))).ToValueList())
            {
                Label = "Amdahl",
            });
        }

        lines.AddRange(scaling.Medians(curve, point => point.Seconds.Median / speed));
        return lines.ToValueList();
    }

    private static ChartModel Nothing(UncurvedTimings timings) => new()
    {
        Name = "run-time",
        Title = "No run time curve yet",
        Subtitle = timings.Runs.Count > 0 ? "Run time against cores; the measured runs are kept" : "Axes dotted: nothing is measured yet",
        TextAlternative = $"No curve. {timings.Message.Text} {timings.Message.Then}",
        X = timings.CoreAxis,
        Y = timings.TimeAxis,
        Height = Height,
        Measured = timings.Runs,
        Table = timings.Table,
        Message = timings.Message,
    };
}
