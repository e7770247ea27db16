using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>The experimental serial fraction against cores: flat is serial work, rising is overhead.</summary>
public static class SerialFractionChart
{
    private const int Height = 240;

    /// <summary>Maps diagnoses to the chart.</summary>
    /// <param name="diagnostics">What the timings say.</param>
    /// <returns>Null with fewer than two fractions.</returns>
    public static ChartModel? Build(TimingDiagnostics diagnostics)
    {
        CoreCountDiagnosis[] known = [.. diagnostics.CoreCounts.Where(one => one.SerialFraction is not null)];
        if (known.Length < 2)
            return null;
        double low = Math.Min(0, known.Min(one => one.SerialFraction!.Value));
        double high = Math.Max(0.05, known.Max(one => one.SerialFraction!.Value + one.SerialFractionError!.Value));
        double least = known[0].CoresWorth / 1.15, most = known[^1].CoresWorth * 1.15;
        string trend = diagnostics.Trend switch
        {
            SerialFractionTrend.Rising => "The serial fraction rises with the cores: overhead",
            SerialFractionTrend.Falling => "The serial fraction falls: a cost paid once, or caches",
            SerialFractionTrend.Flat => "The serial fraction stays flat: serial work",
            _ => "The serial fraction at each measured core count",
        };
        return new ChartModel
        {
            Name = "serial-fraction",
            Title = trend,
            Subtitle = "Experimental serial fraction e = (1/S − 1/p)/(1 − 1/p), % of the work; tinted: one standard error",
            TextAlternative = string.Join("; ", known.Select(one => $"{ChartWords.Cores(one.CoresWorth)}: {Share(one.SerialFraction!.Value)}")) + ".",
            X = new() { Title = "cores", Scale = AxisScale.Logarithmic, Low = least, High = most, Ticks = AxisTicks.PowersOfTwo(least, most) },
            Y = ShareAxis.Of("serial, %", low, high),
            Height = Height,
            Band = known.Select(one => new BandPoint(
                one.CoresWorth, 100 * Math.Max(low, one.SerialFraction!.Value - one.SerialFractionError!.Value),
                100 * (one.SerialFraction!.Value + one.SerialFractionError!.Value))).ToValueList(),
            Measured = known.Select(one => new ChartPoint(one.CoresWorth, 100 * one.SerialFraction!.Value)).ToValueList(),
            Table = new(
                ["cores", "serial fraction", "standard error"],
                known.Select(one => new TableRow([Figures.Count(one.Cores), Share(one.SerialFraction!.Value), Figures.Percent(one.SerialFractionError!.Value)])).ToValueList()),
        };
    }

    private static string Share(double share) => (share < 0 ? "−" : "") + Figures.Percent(Math.Abs(share));
}
