using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Web.Components.Charts;

/// <summary>How simulated run times on one pool are spread.</summary>
public static class RunSpreadChart
{
    private const int Height = 320;
    private const int MostColumns = 30;

    /// <summary>Runs that differ by less, as a share of the longest, are written alike on any axis.</summary>
    private const double LeastSpread = 1e-4;

    /// <summary>Half the width of the column of runs that take no time, seconds.</summary>
    private const double NoTime = 1e-6;

    /// <summary>Maps simulated runs to the chart.</summary>
    /// <param name="detail">Runs on one pool; two or more.</param>
    /// <param name="place">That pool.</param>
    public static ChartModel Build(SimulatedPool detail, SimulatedPlace place)
    {
        double[] seconds = [.. detail.Runs.Select(run => run.MakespanSeconds / place.Speed).Order()];
        SampleSummary times = detail.MakespanSeconds;
        (double median, double low, double high) = (times.Median / place.Speed, times.P05 / place.Speed, times.P95 / place.Speed);
        bool isAlike = seconds[^1] - seconds[0] <= LeastSpread * seconds[^1];
        double half = median > 0 ? 0.005 * median : NoTime;
        ChartColumn[] columns = isAlike ? [new(median - half, median + half, seconds.Length)] : ColumnsOf(seconds);
        double from = columns[0].From, to = columns[^1].To, most = columns.Max(column => column.Height);
        double margin = 0.04 * (to - from);
        ValueList<ChartTick> ticks = AxisTicks.EvenTimes(from - margin, to + margin, out string unit);
        return new ChartModel
        {
            Name = "run-spread",
            Title = isAlike
                ? $"Every run on {place.Name} takes {Figures.Time(median)}"
                : median > 0
                    ? $"On {place.Name} stealing and uneven units spread a run by {Figures.Percent((high - low) / median)}"
                    : $"On {place.Name} most runs take no time, the longest {Figures.Time(seconds[^1])}",
            Subtitle = $"{Figures.Count(seconds.Length)} simulated runs by their time, {unit}; units drawn afresh for each",
            TextAlternative = $"Run times on {place.Full}: median {Figures.Time(median)}, 9 runs in 10 between {Figures.Time(low)} and {Figures.Time(high)}, the longest {Figures.Time(seconds[^1])}.",
            X = new() { Title = $"run time, {unit}", Scale = AxisScale.Linear, Low = from - margin, High = to + margin, Ticks = ticks },
            Y = new() { Title = "runs", Scale = AxisScale.Linear, Low = 0, High = 1.12 * most, Ticks = AxisTicks.FromZero(1.12 * most, leastStep: 1) },
            Height = Height,
            Columns = columns.ToValueList(),
            Uprights = isAlike
                ? []
                : [
                    new(low, $"5{Figures.NoBreakSpace}% {Figures.Time(low)}", IsKey: false), new(median, $"median {Figures.Time(median)}", IsKey: true),
                    new(high, $"95{Figures.NoBreakSpace}% {Figures.Time(high)}", IsKey: false),
                ],
            Table = new(
                ["share of runs", "take at most"],
                new[] { 0.05, 0.25, 0.5, 0.75, 0.95, 1 }
                    .Select(share => new TableRow([Figures.Percent(share), Figures.Time(Quantile(seconds, share))], share == 0.5)).ToValueList()),
        };
    }

    private static ChartColumn[] ColumnsOf(double[] sorted)
    {
        // As many as keep about seven runs in each on average, so that the shape is not the luck of a few.
        int count = Math.Clamp(sorted.Length / 7, 4, MostColumns);
        double from = sorted[0], width = (sorted[^1] - from) / count;
        int[] runs = new int[count];
        foreach (double time in sorted)
            runs[Math.Min(count - 1, (int)((time - from) / width))]++;
        return [.. runs.Select((number, column) => new ChartColumn(from + column * width, from + (column + 1) * width, number))];
    }

    private static double Quantile(double[] sorted, double share)
    {
        double place = share * (sorted.Length - 1);
        int before = Math.Min((int)place, sorted.Length - 1), after = Math.Min(before + 1, sorted.Length - 1);
        return sorted[before] + (place - before) * (sorted[after] - sorted[before]);
    }
}
