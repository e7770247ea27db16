using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Laws;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>What a forecast was made from: the same again would give the same figures.</summary>
/// <param name="Scaling">How the job scales.</param>
/// <param name="InputFactor">The usual input, times the measured one.</param>
/// <param name="InputWork">How the work grows with it.</param>
/// <param name="HasGraph">True where the job is a task graph.</param>
/// <param name="BandShare">The central share the bands hold.</param>
/// <param name="Cores">The core counts asked about.</param>
/// <param name="LargestCores">The largest cores' worth that the curve must reach.</param>
/// <param name="AdviseAt">The core count whose band the next measurement should narrow; null for no advice.</param>
internal sealed record ForecastOrder(
    ScalingForecast Scaling, double InputFactor, InputWork InputWork, bool HasGraph, double BandShare, ImmutableArray<int> Cores, double LargestCores, int? AdviseAt)
{
    public static ForecastOrder Of(Plan plan, ScalingForecast scaling, PlannerSettings settings, double largestCores, int? adviseAt) =>
        new(scaling, plan.InputFactor, plan.InputWork, plan.Graph is not null, settings.BandShare, settings.Cores, largestCores, adviseAt);

    /// <summary>Curves are the same where they are the same object.</summary>
    public bool Equals(ForecastOrder? other) =>
        other is not null && ReferenceEquals(Scaling, other.Scaling) && Cores.SequenceEqual(other.Cores)
        && (InputFactor, InputWork, HasGraph, BandShare, LargestCores, AdviseAt)
            == (other.InputFactor, other.InputWork, other.HasGraph, other.BandShare, other.LargestCores, other.AdviseAt);

    public override int GetHashCode() => HashCode.Combine(Scaling, InputFactor, BandShare, LargestCores, AdviseAt);
}

/// <summary>Turns what is believed of a job's scaling into the figures shown.</summary>
internal static class ForecastBuilder
{
    private const int PointsPerDoubling = 4;

    /// <param name="plan">The job.</param>
    /// <param name="scaling">How it scales.</param>
    /// <param name="settings">What is asked.</param>
    /// <param name="largestCores">The largest cores' worth that the curve must reach.</param>
    /// <param name="adviseAt">The core count whose band the next measurement should narrow; null for no advice.</param>
    public static Forecast Build(Plan plan, ScalingForecast scaling, PlannerSettings settings, double largestCores, int? adviseAt)
    {
        double input = plan.InputFactor;
        // Runs of several sizes say how the time grows with the input; else the plan's formula does.
        double time = scaling.Growth is null ? plan.InputWork.TimeFactor(input) : 1;
        double size = scaling.Growth is null ? 1 : input;
        double oneCore = scaling.At(1, size).Quantile(0.5) * time;
        // The curve's own T1 and span; the median of the next run on one core differs from T1 only by the noise's skew.
        double work = scaling.WorkSeconds * time * Pow(size, scaling.Growth?.Exponent.Median ?? 1);
        double span = Min(work, scaling.SpanSeconds * time * Pow(size, scaling.Growth is { } growth ? growth.Exponent.Median * growth.RestShare.Median : 1));

        ForecastPoint Point(double cores)
        {
            Band seconds = scaling.At(cores, size).Band(settings.BandShare).Times(time);
            var speedup = new Band(oneCore / seconds.Median, oneCore / seconds.High, oneCore / seconds.Low);
            return new ForecastPoint(
                cores, seconds, speedup, speedup.Median / cores,
                WorkSpanLaws.FloorSeconds(work, span, cores), WorkSpanLaws.GreedyCeilingSeconds(work, span, cores),
                LimitOf(scaling.Parts(cores)));
        }

        double reach = Max(64, Max(largestCores, (scaling.MeasuredUpToCores ?? 1) * 2));
        int last = (int)Ceiling(Log2(reach) * PointsPerDoubling);
        double[] counts = [.. Enumerable.Range(0, last + 1).Select(step => Pow(2, (double)step / PointsPerDoubling)), .. settings.Cores];
        var points = new ForecastPoint[counts.Length];
        NextMeasurement? next = null;
        TimingDiagnostics? diagnostics = null;
        // None depends on another, and a person waits for them.
        Parallel.Invoke(
            () => Parallel.For(0, counts.Length, index => points[index] = Point(counts[index])),
            () => next = !scaling.Groups.IsEmpty && adviseAt is { } target ? MeasurementAdvice.Next(scaling, target) : null,
            () => diagnostics = (scaling as MeasuredScaling ?? (scaling as CalibratedScaling)?.Measured) is { } measured ? TimingDiagnostics.Of(measured) : null);
        ImmutableArray<ForecastPoint> curve = [.. points.Take(last + 1)];
        return new Forecast
        {
            Basis = (scaling is LeveredScaling levered ? levered.Unchanged : scaling) switch
            {
                MeasuredScaling => ForecastBasis.Timings,
                StructuredScaling => ForecastBasis.Structure,
                GraphScaling => ForecastBasis.TaskGraph,
                CalibratedScaling { Calibration.Share: > 0 } => plan.Graph is null ? ForecastBasis.CalibratedStructure : ForecastBasis.CalibratedTaskGraph,
                CalibratedScaling => ForecastBasis.Timings,
                _ => ForecastBasis.WorkAndSpan,
            },
            MeasuredUpToCores = MeasuredUpTo(scaling is LeveredScaling { Unchanged: var unchanged } ? unchanged : scaling),
            WorkSeconds = work,
            SpanSeconds = span,
            SerialFraction = span / work,
            RunToRunNoise = scaling.RunToRunNoise,
            BandShare = settings.BandShare,
            Points = [.. points.Skip(last + 1)],
            Curve = curve,
            Measured = Measured(scaling),
            Models = [.. scaling.Models],
            Limits = Limits(scaling, curve),
            Growth = scaling.Growth,
            SpanBindsFromCores = WorkSpanLaws.SpanBindsFromCores(work, span),
            NextMeasurement = next,
            Diagnostics = diagnostics,
            Calibration = (scaling as CalibratedScaling)?.Calibration,
        };
    }

    private static int? MeasuredUpTo(ScalingForecast scaling) => scaling.Groups.IsEmpty ? null : scaling.Groups.Max(group => group.Cores);

    /// <summary>What the answer for a whole night says of it; its points and curve are those of the plan's own job.</summary>
    public static Forecast OfNight(Forecast own, Plan plan, ScalingForecast night)
    {
        double work = night.WorkSeconds * plan.InputFactor, span = night.SpanSeconds * plan.InputFactor;
        return own with
        {
            Basis = ForecastBasis.SharedNight,
            MeasuredUpToCores = night.MeasuredUpToCores is { } cores ? (int)Floor(cores) : null,
            WorkSeconds = work,
            SpanSeconds = span,
            SerialFraction = span / work,
            RunToRunNoise = night.RunToRunNoise,
            SpanBindsFromCores = WorkSpanLaws.SpanBindsFromCores(work, span),
        };
    }

    private static ImmutableArray<MeasuredPoint> Measured(ScalingForecast scaling) =>
    [
        .. scaling.Groups.Select(group => new MeasuredPoint(
            group.Cores, group.CoresWorth, Exp(group.LogMedian), group.LogSeconds.Length,
            group.LogSeconds.Length > 1 ? Exp(group.LogSeconds.Max() - group.LogSeconds.Min()) - 1 : null,
            Exp(group.LogMedian) / scaling.At(group.CoresWorth).Quantile(0.5) - 1)),
    ];

    /// <summary>The ranges over which the same part of the run is the largest, their ends found by halving.</summary>
    private static ImmutableArray<LimitRange> Limits(ScalingForecast scaling, ImmutableArray<ForecastPoint> curve)
    {
        const int Halvings = 4;
        var ranges = ImmutableArray.CreateBuilder<LimitRange>();
        double from = curve[0].Cores;
        foreach ((ForecastPoint before, ForecastPoint after) in curve.Zip(curve.Skip(1)).Where(pair => pair.First.LimitedBy != pair.Second.LimitedBy))
        {
            (double low, double high) = (before.Cores, after.Cores);
            for (int halving = 0; halving < Halvings; halving++)
            {
                double middle = Sqrt(low * high);
                (low, high) = LimitOf(scaling.Parts(middle)) == before.LimitedBy ? (middle, high) : (low, middle);
            }

            ranges.Add(new LimitRange(before.LimitedBy, from, high));
            from = high;
        }

        ranges.Add(new LimitRange(curve[^1].LimitedBy, from, null));
        return ranges.ToImmutable();
    }

    private static Limit LimitOf(RunTimeParts parts)
    {
        (Limit Limit, double Seconds)[] shares =
        [
            (Limit.Work, parts.WorkSeconds),
            (Limit.Span, parts.SpanSeconds),
            (Limit.Overhead, parts.OverheadSeconds),
            (Limit.Contention, parts.ContentionSeconds),
            (Limit.Bandwidth, parts.BandwidthSeconds),
            (Limit.Serial, parts.SerialSeconds),
        ];
        return shares.MaxBy(share => share.Seconds).Limit;
    }
}
