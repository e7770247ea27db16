using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>How a run divides into work, which more cores shrink, and the rest, which they do not.</summary>
internal static class ScalingShares
{
    /// <summary>The strip under the run time chart.</summary>
    public static ShareStrip Of(ScalingPicture scaling, DrawnCurve curve)
    {
        Forecast forecast = scaling.Result.Forecast;
        ForecastPoint? first = curve.Points.FirstOrDefault(point => point.LimitedBy is not Limit.Work);
        double? from = first is null ? null
            : first.LimitedBy is Limit.Span or Limit.Serial && forecast.SpanBindsFromCores is { } span && span > curve.First.Cores && span < curve.Last.Cores ? span
            : first.Cores;
        if (from >= curve.Last.Cores * 0.97)
            from = null;
        string rest = first is null ? "the rest" : ChartWords.HeldBackBy(first.LimitedBy);
        return new(
            curve.Points.Select(point => new ChartPoint(point.Cores, Math.Clamp(point.Efficiency, 0, 1))).ToValueList(),
            from,
            "work: more cores shrink it",
            "the rest",
            from is { } cores ? $"work binds up to {Figures.Count(Math.Floor(cores))} cores" : $"work binds all the way to {ChartWords.Cores(curve.Last.Cores)}",
            from is null ? "" : $"then {rest} binds".Replace("parts binds", "parts bind", StringComparison.Ordinal).Replace("steals binds", "steals bind", StringComparison.Ordinal));
    }
}
