using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>How long tasks of a sample take.</summary>
public static class TaskSizesChart
{
    private const int Height = 260;

    /// <summary>Maps a sample to the chart.</summary>
    /// <param name="name">A word for ids, one for each sample on the page.</param>
    /// <param name="sample">The sample.</param>
    /// <param name="fitted">A distribution to draw beside it; null for none.</param>
    public static ChartModel Build(string name, TaskSizeSummary sample, FittedTaskSizes? fitted)
    {
        TaskSizeHistogram histogram = sample.Histogram;
        TaskSizeBin[] bins = [.. histogram.Bins];
        double from = bins[0].From, to = bins[^1].To;
        if (!(to > from))
            (from, to) = (0.9 * from, 1.1 * to);
        AxisScale scale = histogram.IsLogarithmic ? AxisScale.Logarithmic : AxisScale.Linear;
        string unit = "";
        ValueList<ChartTick> ticks = histogram.IsLogarithmic ? AxisTicks.Times(from, to) : AxisTicks.EvenTimes(from, to, out unit);
        double[] expected = [.. bins.Select(bin => fitted is null ? 0 : 100 * (fitted.Sizes.Survival(bin.From) - fitted.Sizes.Survival(bin.To)))];
        double most = 1.1 * Math.Max(bins.Max(bin => 100 * bin.Share), expected.Max());
        return new ChartModel
        {
            Name = $"task-sizes-{name}",
            Title = Title(sample),
            Subtitle = $"Per cent of the tasks by their time, {(histogram.IsLogarithmic ? "logarithmic" : unit)}{(fitted is null ? "" : "; line: the distribution fitted")}",
            TextAlternative = $"Times of {Figures.Count(sample.Count)} tasks from {Figures.Time(sample.Min)} to {Figures.Time(sample.Max)}: half take less than {Figures.Time(sample.Median)}, 95 of 100 less than {Figures.Time(sample.P95)}.",
            X = new() { Title = histogram.IsLogarithmic ? "time of a task" : unit, Scale = scale, Low = from, High = to, Ticks = ticks },
            Y = new() { Title = "per cent", Scale = AxisScale.Linear, Low = 0, High = most, Ticks = AxisTicks.FromZero(most) },
            Height = Height,
            Columns = bins.Select(bin => new ChartColumn(bin.From, bin.To, 100 * bin.Share)).ToValueList(),
            Lines = fitted is null
                ? []
                : [new(LineRole.Frontier, bins.Select((bin, index) => new ChartPoint(Middle(bin, histogram.IsLogarithmic), expected[index])).ToValueList())],
            Uprights = sample.Mean > from && sample.Mean < to ? [new(sample.Mean, $"mean {Figures.Time(sample.Mean)}", IsKey: false)] : [],
            Table = Table(sample),
        };
    }

    private static string Title(TaskSizeSummary sample)
    {
        if (sample.Max == sample.Min)
            return $"Every task takes {Figures.Time(sample.Mean)}";
        string tail = sample.LongestShare > 0.05
            ? $"the longest {Figures.Percent((double)sample.LongestCount / sample.Count)} are {Figures.Percent(sample.LongestShare)} of the work"
            : $"the longest takes {Figures.Time(sample.Max)}";
        return $"Tasks take {Figures.Time(sample.Mean)} on average; {tail}";
    }

    private static double Middle(TaskSizeBin bin, bool isLogarithmic) => isLogarithmic ? Math.Sqrt(bin.From * bin.To) : (bin.From + bin.To) / 2;

    private static ChartTable Table(TaskSizeSummary sample) => new(
        ["share of tasks", "take at most"],
        new (string Share, double Time)[]
        {
            ("shortest", sample.Min), ("5 %", sample.P05), ("25 %", sample.P25), ("50 %", sample.Median), ("75 %", sample.P75),
            ("95 %", sample.P95), ("99 %", sample.P99), ("99.9 %", sample.P999), ("longest", sample.Max),
        }.Select(row => new TableRow([row.Share, Figures.Time(row.Time)])).ToValueList());
}
