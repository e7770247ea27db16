using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>What the timings say besides the curve. Noises and errors are standard deviations of natural logarithms.</summary>
/// <param name="CoreCounts">The measured core counts, ascending.</param>
/// <param name="SerialFractionTrend">How the experimental serial fraction moves with the cores, the noise allowed for: "flat" (serial
/// work), "rising" (overhead), "falling" (a cost paid once, or caches) or "unknown".</param>
/// <param name="SerialFractionPerDoubling">What a doubling of the cores adds to it; null where unknown.</param>
/// <param name="RunToRunNoise">Scatter of single runs of a sitting.</param>
/// <param name="SittingNoise">Error that the runs of a sitting share.</param>
/// <param name="Repeats">In how many repeats the first was seen; with 0 it is assumed.</param>
/// <param name="FurtherSittings">In how many sittings besides the first of each core count the second was seen; with 0 it is assumed.</param>
/// <param name="ScatterSeen">What core counts are off the curve, over what the noise would leave; 1 with fewer than five core counts.</param>
/// <param name="SaturationWeight">Share of the models with a resource that saturates, a lock or a rate; above 0.5 one is suspected.</param>
/// <param name="BandwidthWeight">The part of it with a shared rate, as of memory.</param>
/// <param name="KneeCores">Where it saturates, in cores; the band holds 80 of 100 of its curves. Null where no such model has any weight.</param>
/// <param name="SharedCoresFrom">The fewest measured cores that are hardware threads sharing a core; null where none are.</param>
/// <param name="LeftOutCoreCounts">How many of the largest core counts each model was fitted without, for its leftOutError.</param>
/// <param name="Readings">What each of these means, in words.</param>
public sealed record DiagnosticsAnswer(
    ImmutableArray<CoreCountDiagnosis> CoreCounts,
    string SerialFractionTrend,
    double? SerialFractionPerDoubling,
    double RunToRunNoise,
    double SittingNoise,
    int Repeats,
    int FurtherSittings,
    double ScatterSeen,
    double SaturationWeight,
    double BandwidthWeight,
    Band? KneeCores,
    int? SharedCoresFrom,
    int LeftOutCoreCounts,
    ImmutableArray<DiagnosticReading> Readings)
{
    /// <summary>Writes diagnoses.</summary>
    public static DiagnosticsAnswer Of(Plan plan, TimingDiagnostics diagnostics) => new(
        diagnostics.CoreCounts, diagnostics.Trend.ToString().ToLowerInvariant(), diagnostics.TrendPerDoubling, diagnostics.Noise.RunToRun,
        diagnostics.Noise.Sitting, diagnostics.Repeats, diagnostics.FurtherSittings, diagnostics.ScatterSeen, diagnostics.SaturationWeight,
        diagnostics.RateWeight, diagnostics.Knee, diagnostics.SharedCoresFrom, diagnostics.LeftOutCoreCounts, DiagnosticWords.Of(plan, diagnostics));
}
