using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>What a diagnosis means, in a sentence.</summary>
/// <param name="Subject">What was looked at, in two or three words.</param>
/// <param name="Sentence">What it says.</param>
/// <param name="IsFinding">True where there is something to look into.</param>
public sealed record DiagnosticReading(string Subject, string Sentence, bool IsFinding);

/// <summary>Reads diagnoses as a performance engineer would.</summary>
public static class DiagnosticWords
{
    /// <summary>The readings, in the order they are looked at.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="diagnostics">What its timings say.</param>
    public static ImmutableArray<DiagnosticReading> Of(Plan plan, TimingDiagnostics diagnostics) =>
    [
        SerialFraction(diagnostics), Residuals(diagnostics), Superlinear(diagnostics), Noise(diagnostics), Threads(plan, diagnostics), Saturation(diagnostics),
    ];

    private static DiagnosticReading SerialFraction(TimingDiagnostics diagnostics)
    {
        CoreCountDiagnosis[] known = [.. diagnostics.CoreCounts.Where(one => one.SerialFraction is not null)];
        if (known.Length == 0 || diagnostics.Trend == SerialFractionTrend.Unknown)
            return new("serial fraction", "The experimental serial fraction needs a run on 1 core and on two other core counts: from its course serial work and overhead are told apart.", false);
        string course = $"from {Share(known[0].SerialFraction!.Value)} on {Cores(known[0].Cores)} to {Share(known[^1].SerialFraction!.Value)} on {known[^1].Cores}";
        return diagnostics.Trend switch
        {
            SerialFractionTrend.Rising => new("serial fraction", $"The experimental serial fraction rises, {course}: overhead or contention that grows with the cores, more than serial work.", true),
            SerialFractionTrend.Falling => new("serial fraction", $"The experimental serial fraction falls, {course}: a cost paid once work is shared at all, or caches that more cores bring.", true),
            _ => new("serial fraction", $"The experimental serial fraction is flat within the noise, {course}: serial work holds the job back as far as it was measured.", false),
        };
    }

    private static DiagnosticReading Residuals(TimingDiagnostics diagnostics)
    {
        CoreCountDiagnosis[] strays = [.. diagnostics.CoreCounts.Where(one => one.IsStray)];
        if (strays.Length > 0)
        {
            return new(
                "residuals", $"{Listed(strays)} stray from what the others let expect and count {Figures.Percent(strays.Min(one => one.Trust))} of a usual core count. They are kept: measure again.",
                true);
        }

        CoreCountDiagnosis far = diagnostics.CoreCounts.MaxBy(one => Abs(one.OffTheCurve))!;
        string told = diagnostics.CoreCounts.Length < MeasuredScaling.LeastToTellStrays
            ? $" With fewer than {MeasuredScaling.LeastToTellStrays} core counts an outlier cannot be told from the curve."
            : " No core count is an outlier.";
        return new("residuals", $"The runs are {Figures.Percent(Abs(far.OffTheCurve))} off the curve at most, on {Cores(far.Cores)}.{told}", false);
    }

    private static DiagnosticReading Superlinear(TimingDiagnostics diagnostics)
    {
        CoreCountDiagnosis[] points = [.. diagnostics.CoreCounts.Where(one => one.IsSuperlinear)];
        return points.Length == 0
            ? new("superlinear points", "No core count is faster than its cores alone give, beyond the noise.", false)
            : new("superlinear points", $"{Listed(points)} are faster than the cores alone give, beyond the noise: the data then fit caches, as a rule, or the run on the fewest cores was slow. Kept.", true);
    }

    private static DiagnosticReading Noise(TimingDiagnostics diagnostics)
    {
        string runs = $"Single runs of a sitting differ by {Figures.Percent(diagnostics.Noise.RunToRun)}";
        string sittings = $"sittings by another {Figures.Percent(diagnostics.Noise.Sitting)}";
        string seen = (diagnostics.Repeats, diagnostics.FurtherSittings) switch
        {
            (0, 0) => "assumed, since there are no repeats",
            ( > 0, 0) => $"the first from {Counted(diagnostics.Repeats, "repeat")}, the second assumed: measure again on another day to see it",
            (0, > 0) => $"the first assumed, the second from {Counted(diagnostics.FurtherSittings, "further sitting")}",
            _ => $"from {Counted(diagnostics.Repeats, "repeat")} and {Counted(diagnostics.FurtherSittings, "further sitting")}",
        };
        string smooth = diagnostics.ScatterSeen < 0.8
            ? $" The core counts lie closer to a smooth curve than that, so they are weighed as {Figures.Percent(diagnostics.ScatterSeen)} as noisy."
            : "";
        return new("noise", $"{runs}, {sittings}: {seen}.{smooth}", false);
    }

    private static DiagnosticReading Threads(Plan plan, TimingDiagnostics diagnostics)
    {
        if (plan.MeasuredOn.PhysicalCores is not { } physical)
            return new("hardware threads", "Every core measured is taken for a physical one. Type how many the machine has, and runs past that count as second threads.", false);
        return diagnostics.SharedCoresFrom is { } from
            ? new("hardware threads", $"Past {Cores(physical)} the machine's threads share cores: the curve has a knee there. From {from} on each further thread counts {Figures.Percent(plan.SecondThreadGain)} of a core.", true)
            : new("hardware threads", $"All runs are on the machine's {Cores(physical)}: no hardware-thread knee lies in the measurements.", false);
    }

    private static DiagnosticReading Saturation(TimingDiagnostics diagnostics)
    {
        string weight = $"Curves with something that saturates have {Figures.Percent(diagnostics.SaturationWeight)} of the weight; those with a shared rate, such as memory bandwidth, {Figures.Percent(diagnostics.RateWeight)}";
        return diagnostics is { SaturationSuspected: true, Knee: { } knee }
            ? new("saturation", $"A shared resource seems to saturate at about {Knee(knee.Median)} cores ({Knee(knee.Low)} to {Knee(knee.High)}). {weight}.", true)
            : new("saturation", $"Nothing measured has to saturate. {weight}.", false);
    }

    private static string Listed(CoreCountDiagnosis[] points) =>
        $"The runs on {string.Join(", ", points.Select(one => one.Cores.ToString(System.Globalization.CultureInfo.InvariantCulture)))} cores";

    private static string Knee(double cores) => Figures.Count(Round(cores));

    private static string Share(double share) => share < 0 ? "less than 0" : Figures.Percent(share);

    private static string Cores(int cores) => cores == 1 ? "1 core" : $"{Figures.Count(cores)} cores";

    private static string Counted(int count, string noun) => $"{Figures.Count(count)} {noun}{(count == 1 ? "" : "s")}";
}
