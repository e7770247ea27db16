using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>What each measured core count is off the curve, beside what noise alone would leave.</summary>
public static class ResidualsChart
{
    private const int Height = 240;

    /// <summary>Maps diagnoses to the chart.</summary>
    /// <param name="diagnostics">What the timings say.</param>
    public static ChartModel Build(TimingDiagnostics diagnostics)
    {
        CoreCountDiagnosis[] all = [.. diagnostics.CoreCounts];
        double reach = Math.Max(0.05, 1.1 * all.Max(one => Math.Max(Math.Abs(one.OffTheCurve), one.Error)));
        double least = all[0].CoresWorth / 1.15, most = all[^1].CoresWorth * 1.15;
        CoreCountDiagnosis far = all.MaxBy(one => Math.Abs(one.OffTheCurve))!;
        return new ChartModel
        {
            Name = "residuals",
            Title = all.Any(one => one.IsStray)
                ? $"The run on {ChartWords.Cores(far.CoresWorth)} strays from the curve"
                : $"Runs are off the curve by {Figures.Percent(Math.Abs(far.OffTheCurve))} at most",
            Subtitle = "Measured over the middle of the forecast, less 1, %; tinted: one standard error of the noise",
            TextAlternative = string.Join("; ", all.Select(one => $"{ChartWords.Cores(one.CoresWorth)}: {Signed(one.OffTheCurve)}")) + ".",
            X = new() { Title = "cores", Scale = AxisScale.Logarithmic, Low = least, High = most, Ticks = AxisTicks.PowersOfTwo(least, most) },
            Y = ShareAxis.Of("off, %", -reach, reach),
            Height = Height,
            Band = all.Select(one => new BandPoint(one.CoresWorth, -100 * one.Error, 100 * one.Error)).ToValueList(),
            Lines = [new(LineRole.Perfect, [new(least, 0), new(most, 0)])],
            Measured = all.Select(one => new ChartPoint(one.CoresWorth, 100 * one.OffTheCurve)).ToValueList(),
            Table = new(
                ["cores", "off the curve", "noise", "counts", "superlinear"],
                all.Select(one => new TableRow(
                [
                    Figures.Count(one.Cores), Signed(one.OffTheCurve), Figures.Percent(one.Error), Figures.Percent(one.Trust), one.IsSuperlinear ? "yes" : "no",
                ])).ToValueList()),
        };
    }

    private static string Signed(double share) => (share < 0 ? "−" : "+") + Figures.Percent(Math.Abs(share));
}
