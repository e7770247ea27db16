using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Tests.Fitting;

// Karp and Flatt, "Measuring Parallel Processor Performance", CACM 33(5), 1990: a serial fraction that stays flat is serial
// work, one that rises is overhead.
public sealed class TimingDiagnosticsTests
{
    private static readonly int[] s_cores = [1, 2, 4, 8, 16];

    [Fact]
    public void SerialFraction_OfAmdahlTimes_IsFlatAtTheSerialShare()
    {
        TimingDiagnostics diagnostics = Of(s_cores.Select(p => new Timing(p, 90.0 / p + 10)));

        Assert.Equal(SerialFractionTrend.Flat, diagnostics.Trend);
        Assert.Null(diagnostics.CoreCounts[0].SerialFraction);
        Assert.All(diagnostics.CoreCounts.Skip(1), one => Assert.Equal(0.1, one.SerialFraction!.Value, 1e-9));
        Assert.All(diagnostics.CoreCounts, one => Assert.False(one.IsStray || one.IsSuperlinear));
        Assert.Equal(0, diagnostics.Repeats);
        Assert.Equal(0, diagnostics.FurtherSittings);
    }

    [Fact]
    public void SerialFraction_OfTimesWithAnOverheadPerCore_Rises()
    {
        TimingDiagnostics diagnostics = Of(s_cores.Select(p => new Timing(p, 98.0 / p + 2 + 1.5 * (p - 1))));

        Assert.Equal(SerialFractionTrend.Rising, diagnostics.Trend);
        Assert.True(diagnostics.TrendPerDoubling > 0);
    }

    [Fact]
    public void SerialFraction_OfACostPaidOnce_Falls()
    {
        // Work that grows by 30 % as soon as it is shared: seen in six steady sittings, not in single runs.
        IEnumerable<Timing> once = s_cores.Select(p => new Timing(p, (p > 1 ? 130.0 : 100) / p));
        IEnumerable<Timing> sittings = once.SelectMany(run => Enumerable.Range(1, 6).Select(
            sitting => new Timing(run.Cores, run.Seconds * (1 + 0.002 * (sitting - 3)), sitting)));

        Assert.Equal(SerialFractionTrend.Falling, Of(sittings).Trend);
        Assert.Equal(SerialFractionTrend.Flat, Of(once).Trend);
        Assert.Equal(25, Of(sittings).FurtherSittings);
    }

    [Fact]
    public void SerialFraction_OfARiseWithinTheNoise_IsFlat()
    {
        // e rises from .02 to .05 at 2 and 4 cores, each with an error of some .2 and .1.
        TimingDiagnostics diagnostics = Of([new(1, 100), new(2, 51), new(4, 28.75)]);

        Assert.Equal(0.02, diagnostics.CoreCounts[1].SerialFraction!.Value, 1e-9);
        Assert.Equal(0.05, diagnostics.CoreCounts[2].SerialFraction!.Value, 1e-9);
        Assert.True(diagnostics.CoreCounts[1].SerialFractionError > 0.05);
        Assert.Equal(SerialFractionTrend.Flat, diagnostics.Trend);
    }

    [Fact]
    public void SerialFraction_WithoutARunOnOneCore_IsUnknown()
    {
        TimingDiagnostics diagnostics = Of([new(2, 55), new(4, 32), new(8, 22)]);

        Assert.Equal(SerialFractionTrend.Unknown, diagnostics.Trend);
        Assert.All(diagnostics.CoreCounts, one => Assert.Null(one.SerialFraction));
    }

    [Fact]
    public void CoreCount_FasterThanItsCoresBeyondTheNoise_IsSuperlinear()
    {
        TimingDiagnostics diagnostics = Of([new(1, 100), new(2, 50), new(4, 19), new(8, 9.6)]);

        Assert.Equal([false, false, true, true], diagnostics.CoreCounts.Select(one => one.IsSuperlinear));
        // 2 % more than the cores is within the noise of single runs.
        Assert.False(Of([new(1, 100), new(2, 49), new(4, 25)]).CoreCounts[1].IsSuperlinear);
    }

    [Fact]
    public void CoreCount_FarFromTheOthers_IsAStray_AndKept()
    {
        TimingDiagnostics diagnostics = Of(s_cores.Append(3).Append(6).Append(12).Select(p => new Timing(p, (90.0 / p + 10) * (p == 3 ? 1.8 : 1))));

        CoreCountDiagnosis stray = Assert.Single(diagnostics.CoreCounts, one => one.IsStray);
        Assert.Equal(3, stray.Cores);
        Assert.True(stray.Trust > 0);
        Assert.Equal(0.8, stray.OffTheCurve, 0.15);
    }

    [Fact]
    public void Saturation_OfTimesThatLevelOffAbove_IsSuspected()
    {
        // A lock that saturates past four cores: the times of one of the measured programs of reference/measured, rounded.
        double[] speedups = [1, 1.86, 3.10, 1.98, 2.10];

        Assert.True(Of(s_cores.Select((p, i) => new Timing(p, 100 / speedups[i]))).SaturationSuspected);
        Assert.False(Of(s_cores.Select(p => new Timing(p, 90.0 / p + 10))).SaturationSuspected);
    }

    [Fact]
    public void SharedCores_AreFoundWhereThreadsAreWorthLess()
    {
        MeasuredScaling scaling = MeasuredScaling.Fit(
            [.. s_cores.Select(p => new Timing(p, 90.0 / p + 10))], cores => Math.Min(cores, 8) + 0.25 * Math.Max(0, cores - 8), seed: 1);

        Assert.Equal(16, TimingDiagnostics.Of(scaling).SharedCoresFrom);
        Assert.Null(Of(s_cores.Select(p => new Timing(p, 90.0 / p + 10))).SharedCoresFrom);
    }

    private static TimingDiagnostics Of(IEnumerable<Timing> timings) =>
        TimingDiagnostics.Of(MeasuredScaling.Fit([.. timings], cores => cores, seed: 1));
}
