using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>
/// A forecast's curve as far as a chart draws it: few enough points to send at every keystroke, ending exactly at the
/// axis's end and broken exactly where the measurements end.
/// </summary>
internal sealed class DrawnCurve
{
    /// <summary>A curve of so few bends needs no more to look smooth.</summary>
    private const int MostPoints = 56;

    private readonly ImmutableArray<ForecastPoint> _points;

    private DrawnCurve(ImmutableArray<ForecastPoint> points, double? measuredUpTo)
    {
        _points = points;
        MeasuredUpTo = measuredUpTo;
    }

    /// <summary>Ascending in cores.</summary>
    public ImmutableArray<ForecastPoint> Points => _points;

    /// <summary>Up to how many cores' worth it was measured, within the curve; null where nothing was.</summary>
    public double? MeasuredUpTo { get; }

    public ForecastPoint First => _points[0];

    public ForecastPoint Last => _points[^1];

    /// <summary>From the result's curve, as far as its machines and measurements need it.</summary>
    /// <returns>Null where there is no curve to draw.</returns>
    public static DrawnCurve? Of(PlanResult result)
    {
        Forecast forecast = result.Forecast;
        ForecastPoint[] known = forecast.Curve.Concat(forecast.Points)
            .OrderBy(point => point.Cores)
            .Aggregate(new List<ForecastPoint>(), (kept, point) =>
            {
                if (kept.Count == 0 || point.Cores > kept[^1].Cores * (1 + 1e-9))
                    kept.Add(point);
                return kept;
            })
            .ToArray();
        if (known.Length < 2)
            return null;

        double? measuredTo = forecast.Measured.IsEmpty ? forecast.MeasuredUpToCores : forecast.Measured.Max(point => point.CoresWorth);
        double largest = result.Machines.Where(outcome => outcome.Fits).Select(outcome => outcome.EffectiveCores).DefaultIfEmpty(1).Max();
        double wanted = Math.Max(8, Math.Max(largest, 2 * (measuredTo ?? 1)));
        double end = Math.Min(Math.Pow(2, Math.Ceiling(Math.Log2(wanted) - 1e-9)), known[^1].Cores);
        double? measured = measuredTo is { } cores ? Math.Min(cores, end) : null;

        // Points asked for are kept as they are; between them, as many of the grid as fit.
        var asked = forecast.Points.Select(point => point.Cores).ToHashSet();
        int stride = 1;
        while (stride < known.Length && Kept(known, asked, end, stride).Count() > MostPoints)
            stride++;
        var points = Kept(known, asked, end, stride).ToList();
        Include(points, known, end);
        if (measured is { } broken)
            Include(points, known, broken);
        return new([.. points], measured);
    }

    /// <summary>The forecast at a core count, between two points as a straight line on logarithmic scales.</summary>
    /// <param name="cores">Cores' worth, within the curve.</param>
    public ForecastPoint At(double cores) => At(_points.AsSpan(), cores);

    private static IEnumerable<ForecastPoint> Kept(ForecastPoint[] known, HashSet<double> asked, double end, int stride) =>
        known.Where((point, index) => point.Cores <= end * (1 + 1e-9) && (index % stride == 0 || asked.Contains(point.Cores)));

    private static void Include(List<ForecastPoint> points, ForecastPoint[] known, double cores)
    {
        int index = points.FindIndex(point => point.Cores >= cores * (1 - 1e-9));
        if (index >= 0 && points[index].Cores <= cores * (1 + 1e-9))
            return;
        points.Insert(index < 0 ? points.Count : index, At(known, cores));
    }

    private static ForecastPoint At(ReadOnlySpan<ForecastPoint> points, double cores)
    {
        int after = 0;
        while (after < points.Length - 1 && points[after].Cores < cores * (1 - 1e-9))
            after++;
        ForecastPoint right = points[after];
        if (after == 0 || right.Cores <= cores * (1 + 1e-9))
            return right;

        ForecastPoint left = points[after - 1];
        double share = Math.Log(cores / left.Cores) / Math.Log(right.Cores / left.Cores);
        Band speedup = Between(left.Speedup, right.Speedup, share);
        return new(
            cores, Between(left.Seconds, right.Seconds, share), speedup, speedup.Median / cores,
            Between(left.FloorSeconds, right.FloorSeconds, share), Between(left.GreedyCeilingSeconds, right.GreedyCeilingSeconds, share),
            right.LimitedBy);
    }

    private static Band Between(Band left, Band right, double share) =>
        new(Between(left.Median, right.Median, share), Between(left.Low, right.Low, share), Between(left.High, right.High, share));

    private static double Between(double left, double right, double share) => left * Math.Pow(right / left, share);
}
