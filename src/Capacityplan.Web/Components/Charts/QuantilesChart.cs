using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>How well a fitted distribution stands for a sample: quantile against quantile.</summary>
public static class QuantilesChart
{
    private const int Height = 260;
    private const int MostTicks = 4;

    /// <summary>Maps a fit to the chart.</summary>
    /// <param name="name">A word for ids, one for each sample on the page.</param>
    /// <param name="fit">The fit; of at least one candidate.</param>
    public static ChartModel Build(string name, TaskSizeFit fit)
    {
        FittedTaskSizes first = fit.Candidates[0];
        QuantilePoint[] points = [.. fit.QuantilePoints(first).Where(point => double.IsFinite(point.Fitted))];
        double low = points.Min(point => Math.Min(point.Sample, point.Fitted)), high = points.Max(point => Math.Max(point.Sample, point.Fitted));
        bool isLogarithmic = low > 0 && high > 20 * low;
        ChartAxis Axis(string title)
        {
            if (isLogarithmic)
                return new() { Title = title, Scale = AxisScale.Logarithmic, Low = low / 1.15, High = high * 1.15, Ticks = AxisTicks.Times(low / 1.15, high * 1.15) };
            double margin = high > low ? 0.03 * (high - low) : 0.1 * high;
            ValueList<ChartTick> ticks = AxisTicks.EvenTimes(low - margin, high + margin, out string unit);
            return new() { Title = $"{title}, {unit}", Scale = AxisScale.Linear, Low = low - margin, High = high + margin, Ticks = ticks };
        }

        string family = TaskSizeFitWords.Name(first.Family);
        return new ChartModel
        {
            Name = $"quantiles-{name}",
            Title = fit.Best is null ? $"{char.ToUpperInvariant(family[0])}{family[1..]} is nearest, and not near enough" : $"{char.ToUpperInvariant(family[0])}{family[1..]} fits well",
            Subtitle = "Quantiles of the sample against those of the distribution; on the dotted line both agree",
            TextAlternative = fit.Sentence,
            X = Sparse(Axis("distribution")),
            Y = Axis("sample"),
            Height = Height,
            Lines = [new(LineRole.Perfect, [new(isLogarithmic ? low / 1.15 : low, isLogarithmic ? low / 1.15 : low), new(high, high)])],
            Quantiles = points.Select(point => new ChartPoint(point.Fitted, point.Sample)).ToValueList(),
            Table = new(
                ["distribution", "AICc above the best", "weight", "largest gap", "mean off by", "longest off by"],
                fit.Candidates.Select(candidate => new TableRow(
                [
                    TaskSizeFitWords.Name(candidate.Family), (candidate == first ? 0 : candidate.Aicc - first.Aicc).ToString("#,0.0", System.Globalization.CultureInfo.InvariantCulture),
                    Figures.Percent(candidate.Weight), Figures.Percent(candidate.LargestGap), Signed(candidate.MeanError), Signed(candidate.LongestError),
                ], candidate == fit.Best)).ToValueList()),
        };
    }

    /// <summary>Labels of a level axis stand side by side: fewer of them have room.</summary>
    private static ChartAxis Sparse(ChartAxis axis)
    {
        int step = Math.Max(1, (axis.Ticks.Count + MostTicks - 1) / MostTicks);
        return axis with { Ticks = axis.Ticks.Where((_, index) => index % step == 0).ToValueList() };
    }

    private static string Signed(double share) => (share >= 0 ? "+" : "−") + Figures.Percent(Math.Abs(share));
}
