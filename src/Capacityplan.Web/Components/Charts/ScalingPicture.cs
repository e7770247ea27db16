using System.Globalization;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>What the run time and the speedup chart draw alike.</summary>
internal sealed class ScalingPicture
{
    /// <summary>More discs than this are drawn as one median for each core count.</summary>
    private const int MostDiscs = 120;

    /// <summary>Floor and ceiling count as parted once they differ by this factor.</summary>
    private const double Parted = 1.06;

    /// <summary>A curve turns back once it has risen by this factor again.</summary>
    private const double TurnsBack = 1.02;

    public ScalingPicture(PlanResult result, ScalingChartView view)
    {
        Result = result;
        View = view;
        Curve = DrawnCurve.Of(result);
        Chosen = result.Verdict.Choice is { } choice && view.Draws(choice, result.Plan) ? choice : null;
        MeasuredRuns = Runs(result, MeasuredFactor);
    }

    public PlanResult Result { get; }

    public ScalingChartView View { get; }

    /// <summary>At the speed measured on; null where there is none to draw.</summary>
    public DrawnCurve? Curve { get; }

    /// <summary>The chosen machine, where the curve is drawn at its core speed.</summary>
    public MachineOutcome? Chosen { get; }

    /// <summary>The measured runs of the planned input, at the core speed drawn.</summary>
    public IReadOnlyList<(double Cores, double Seconds)> MeasuredRuns { get; }

    /// <summary>From a measured time to the planned input and the core speed drawn.</summary>
    public double MeasuredFactor => Result.Plan.InputFactor / View.CoreSpeed;

    public BatchWindow? Window => Result.Plan.Window;

    /// <summary>The speedup no number of cores exceeds: T1 / T_inf, or the curve's highest where it turns back; null where neither is.</summary>
    public double? SpeedupLimit => (Lowest, Result.Forecast.SpanSeconds) switch
    {
        ({ } lowest, _) => lowest.Speedup.Median,
        (null, > 0 and var span) => Result.Forecast.WorkSeconds / span,
        _ => null,
    };

    /// <summary>The time no number of cores brings it under, at the speed measured on, seconds; 0 where there is none.</summary>
    public double LimitSeconds => Lowest?.Seconds.Median ?? Result.Forecast.SpanSeconds;

    /// <summary>Where more cores begin to make it slower; null where they do not.</summary>
    private ForecastPoint? Lowest => Curve is { } curve && curve.Points.MinBy(point => point.Seconds.Median) is { } lowest && curve.Last.Seconds.Median > TurnsBack * lowest.Seconds.Median
        ? lowest
        : null;

    public string AtWhichSpeed
    {
        get
        {
            if (Math.Abs(View.CoreSpeed - 1) < 1e-9)
                return MeasuredRuns.Count > 0 ? "at the core speed measured on" : "at the core speed stated";
            string? family = ChartWords.CommonFamily(Result.Machines.Where(outcome => View.Draws(outcome, Result.Plan)).Select(outcome => outcome.Machine));
            return family is null
                ? $"at {Figures.Count(View.CoreSpeed)} times the core speed measured on"
                : $"at {ChartWords.Possessive(family)} core speed";
        }
    }

    /// <summary>How the measured points were brought onto the curve; empty where they were not touched.</summary>
    public string PointsMoved
    {
        get
        {
            if (MeasuredRuns.Count == 0)
                return "";
            var said = new List<string>();
            if (Math.Abs(Result.Plan.InputFactor - 1) > 1e-9)
                said.Add(string.Create(CultureInfo.InvariantCulture, $"multiplied by {Result.Plan.InputFactor:0.##} for the input"));
            if (Math.Abs(View.CoreSpeed - 1) > 1e-9)
                said.Add(string.Create(CultureInfo.InvariantCulture, $"divided by {View.CoreSpeed:0.##}"));
            return said.Count == 0 ? "" : $"; measured points {ChartWords.List(said)}";
        }
    }

    public bool IsOnAxis(MachineOutcome outcome, DrawnCurve curve) =>
        outcome.EffectiveCores >= curve.First.Cores && outcome.EffectiveCores <= curve.Last.Cores;

    /// <summary>The forecast's run time on one core at the core speed drawn, seconds.</summary>
    public double OneCoreSeconds(DrawnCurve curve) => curve.First.Seconds.Median * curve.First.Speedup.Median / View.CoreSpeed;

    /// <summary>A machine's speedup against one core of its own speed.</summary>
    public double SpeedupOn(MachineOutcome outcome, DrawnCurve curve) => OneCoreSeconds(curve) / outcome.RunSeconds.Median;

    public ChartAxis CoreAxis(DrawnCurve curve)
    {
        bool secondThreadsCount = Result.Machines.Any(outcome => outcome.Machine.HardwareThreads > outcome.Machine.PhysicalCores);
        return new()
        {
            Title = secondThreadsCount
                ? string.Create(CultureInfo.InvariantCulture, $"cores' worth (a second thread counts {Result.Plan.SecondThreadGain:0.##})")
                : "cores",
            Scale = AxisScale.Logarithmic,
            Low = curve.First.Cores,
            High = curve.Last.Cores,
            Ticks = AxisTicks.PowersOfTwo(curve.First.Cores, curve.Last.Cores),
        };
    }

    /// <summary>The median, solid as far as measured and broken beyond.</summary>
    public IEnumerable<ChartLine> Medians(DrawnCurve curve, Func<ForecastPoint, double> value)
    {
        double split = curve.MeasuredUpTo ?? curve.First.Cores;
        ChartPoint[] all = curve.Points.Select(point => new ChartPoint(point.Cores, value(point))).ToArray();
        ChartPoint[] measured = all.Where(point => point.X <= split * (1 + 1e-9)).ToArray();
        ChartPoint[] beyond = all.Where(point => point.X >= split * (1 - 1e-9)).ToArray();
        if (measured.Length > 1)
            yield return new(LineRole.Median, measured.ToValueList()) { Label = beyond.Length > 1 ? null : "median" };
        if (beyond.Length > 1)
            yield return new(LineRole.MedianBeyond, beyond.ToValueList()) { Label = "median" };
    }

    /// <summary>From where on floor and ceiling can be told apart.</summary>
    public double BoundsPartFrom(DrawnCurve curve)
    {
        foreach (ForecastPoint point in curve.Points)
        {
            if (point.GreedyCeilingSeconds > Parted * point.FloorSeconds)
                return point.Cores;
        }

        return double.PositiveInfinity;
    }

    public MeasuredEnd? MeasuredEnd(DrawnCurve curve, double top)
    {
        if (curve.MeasuredUpTo is not { } cores)
            return null;
        double past = curve.Last.Cores / cores;
        return new(
            cores, top, $"measured to {ChartWords.Cores(cores)}",
            past > 1.05 ? $"forecast, to {(past < 9.95 ? Figures.Times(past).Replace(".0", "", StringComparison.Ordinal) : Figures.Times(past))} past" : "");
    }

    public ValueList<MachinePost> Posts(DrawnCurve curve) =>
        Result.Machines
            .Where(outcome => View.Draws(outcome, Result.Plan) && IsOnAxis(outcome, curve))
            .GroupBy(outcome => outcome.Machine.Name)
            .Select(ways => new MachinePost(
                MachineLabel.Of(ways.Key), ways.First().EffectiveCores,
                Chosen is not null && ways.Key == Chosen.Machine.Name ? MachineState.Chosen
                : ways.Any(way => way.Fits && (Window is null || way.MeetsTarget)) ? MachineState.Good
                : MachineState.Out))
            .OrderBy(post => post.Cores)
            .ToValueList();

    public ValueList<Readout> Readouts(DrawnCurve curve, Func<ForecastPoint, double> value)
    {
        var named = Posts(curve).GroupBy(post => post.Cores).ToDictionary(
            posts => posts.Key, posts => ChartWords.List(posts.Select(post => post.Label.Name).ToArray()));
        // Whole core counts read best; a curve with few of them is read out wherever it has a point.
        double[] whole = curve.Points.Select(point => point.Cores).Where(cores => Math.Abs(cores - Math.Round(cores)) < 1e-9).ToArray();
        IEnumerable<double> places = whole.Length >= 7 ? whole : curve.Points.Select(point => point.Cores);
        return places.Concat(named.Keys).Distinct().Order()
            .Select(cores => (Point: curve.At(cores), Machines: named.GetValueOrDefault(cores)))
            .Select(place => new Readout(place.Point.Cores, value(place.Point), ReadoutText(place.Point, place.Machines)))
            .ToValueList();
    }

    public ValueList<KeySign> Key(DrawnCurve curve, KeySign[] laws)
    {
        var signs = new List<KeySign>();
        if (MeasuredRuns.Count > 0)
            signs.Add(KeySign.MeasuredRun);
        signs.AddRange([KeySign.Median, KeySign.Band, KeySign.Floor, KeySign.Ceiling]);
        if (Posts(curve).Count > 0)
            signs.Add(KeySign.Machine);
        return signs.Concat(laws).ToValueList();
    }

    public ChartTable Table(DrawnCurve curve)
    {
        double speed = View.CoreSpeed;
        var measured = Result.Forecast.Measured.ToLookup(point => point.CoresWorth, point => point.MedianSeconds * MeasuredFactor);
        var counts = Result.Forecast.Points.Select(point => point.Cores)
            .Concat(curve.Points.Select(point => point.Cores).Where(cores => Math.Abs(Math.Log2(cores) - Math.Round(Math.Log2(cores))) < 1e-9))
            .Where(cores => cores <= curve.Last.Cores * (1 + 1e-9))
            .Order()
            .Aggregate(new List<double>(), (kept, cores) =>
            {
                if (kept.Count == 0 || cores > kept[^1] * (1 + 1e-9))
                    kept.Add(cores);
                return kept;
            });
        return new(
            ["cores", "run time", ChartWords.Nights(Result.Forecast.BandShare), "measured", "times faster", "of each core used", "floor", "ceiling", "held back by"],
            counts.Select(cores => Row(curve.At(cores))).ToValueList());

        TableRow Row(ForecastPoint point)
        {
            Band seconds = point.Seconds.Times(1 / speed);
            return new(
                [
                    Figures.Count(point.Cores),
                    Figures.Time(seconds.Median),
                    Figures.TimeRange(seconds.Low, seconds.High),
                    measured.Contains(point.Cores) ? Figures.Time(measured[point.Cores].First()) : Figures.Unknown,
                    Figures.TimesNumber(point.Speedup.Median),
                    Figures.Percent(point.Efficiency),
                    Figures.Time(point.FloorSeconds / speed),
                    Figures.Time(point.GreedyCeilingSeconds / speed),
                    ChartWords.HeldBackBy(point.LimitedBy),
                ],
                Chosen is not null && Math.Abs(Chosen.EffectiveCores - point.Cores) < 1e-9 * point.Cores);
        }
    }

    private string ReadoutText(ForecastPoint point, string? machines)
    {
        string who = machines is null ? ChartWords.Cores(point.Cores) : $"{machines}, {ChartWords.CoresWorth(point.Cores)}";
        string time = Figures.TimeWithBand(point.Seconds.Times(1 / View.CoreSpeed));
        MeasuredPoint? measured = Result.Forecast.Measured.FirstOrDefault(at => Math.Abs(at.CoresWorth - point.Cores) < 1e-9);
        string seen = measured is null ? ""
            : $" Measured: {Figures.Time(measured.MedianSeconds * MeasuredFactor)}{(measured.Runs > 1 ? $", median of {measured.Runs}" : "")}.";
        string gain = point.Cores < 1 + 1e-9
            ? "."
            : $", {Figures.Times(point.Speedup.Median)} faster; {Figures.Percent(Math.Clamp(point.Efficiency, 0, 1))} of it work.";
        return $"{who}: {time}{gain}{seen}";
    }

    private static List<(double Cores, double Seconds)> Runs(PlanResult result, double factor)
    {
        // A run of another input size is not on this curve; the fit's own median stands for its core count.
        Plan plan = result.Plan;
        List<(double Cores, double Seconds)> runs = [.. plan.Timings
            .Where(timing => Math.Abs(timing.Size - 1) < 1e-9)
            .Select(timing => (plan.MeasuredOn.CoresWorth(timing.Cores, plan.SecondThreadGain), timing.Seconds * factor))];
        if (runs.Count > MostDiscs)
            runs.Clear();
        var seen = runs.Select(run => run.Cores).ToHashSet();
        runs.AddRange(result.Forecast.Measured
            .Where(point => !seen.Contains(point.CoresWorth))
            .Select(point => (point.CoresWorth, point.MedianSeconds * factor)));
        return [.. runs.OrderBy(run => run.Cores)];
    }
}
