using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Laws;
using static System.Math;

namespace Capacityplan.Core.Planning;

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
        double oneCore = scaling.At(1).Quantile(0.5) * input;
        // The curve's own T1 and span; the median of the next run on one core differs from T1 only by the noise's skew.
        double work = scaling.WorkSeconds * input;
        double span = scaling.SpanSeconds * input;

        ForecastPoint Point(double cores)
        {
            Band seconds = scaling.At(cores).Band(settings.BandShare).Times(input);
            var speedup = new Band(oneCore / seconds.Median, oneCore / seconds.High, oneCore / seconds.Low);
            return new ForecastPoint(
                cores, seconds, speedup, speedup.Median / cores,
                WorkSpanLaws.FloorSeconds(work, span, cores), WorkSpanLaws.GreedyCeilingSeconds(work, span, cores),
                LimitOf(scaling.Parts(cores)));
        }

        double reach = Max(64, Max(largestCores, (scaling.MeasuredUpToCores ?? 1) * 2));
        int last = (int)Ceiling(Log2(reach) * PointsPerDoubling);
        return new Forecast
        {
            Basis = scaling switch
            {
                MeasuredScaling => ForecastBasis.Timings,
                StructuredScaling => ForecastBasis.Structure,
                CalibratedScaling { Calibration.Share: > 0 } => ForecastBasis.CalibratedStructure,
                CalibratedScaling => ForecastBasis.Timings,
                _ => ForecastBasis.WorkAndSpan,
            },
            MeasuredUpToCores = scaling.Groups.IsEmpty ? null : scaling.Groups.Max(group => group.Cores),
            WorkSeconds = work,
            SpanSeconds = span,
            SerialFraction = span / work,
            RunToRunNoise = scaling.RunToRunNoise,
            BandShare = settings.BandShare,
            Points = [.. settings.Cores.Select(cores => Point(cores))],
            Curve = [.. Enumerable.Range(0, last + 1).Select(step => Point(Pow(2, (double)step / PointsPerDoubling)))],
            Measured = Measured(scaling),
            Models = [.. scaling.Models.Select(model => new ModelShare(model.Name, model.Formula, model.Weight, model.Parameters))],
            SpanBindsFromCores = WorkSpanLaws.SpanBindsFromCores(work, span),
            NextMeasurement = !scaling.Groups.IsEmpty && adviseAt is { } target ? MeasurementAdvice.Next(scaling, target) : null,
            Diagnostics = scaling is MeasuredScaling measured ? TimingDiagnostics.Of(measured) : null,
            Calibration = (scaling as CalibratedScaling)?.Calibration,
        };
    }

    private static ImmutableArray<MeasuredPoint> Measured(ScalingForecast scaling) =>
    [
        .. scaling.Groups.Select(group => new MeasuredPoint(
            group.Cores, group.CoresWorth, Exp(group.LogMedian), group.LogSeconds.Length,
            group.LogSeconds.Length > 1 ? Exp(group.LogSeconds.Max() - group.LogSeconds.Min()) - 1 : null,
            Exp(group.LogMedian) / scaling.At(group.CoresWorth).Quantile(0.5) - 1)),
    ];

    private static Limit LimitOf(RunTimeParts parts)
    {
        (Limit Limit, double Seconds)[] shares =
        [
            (Limit.Work, parts.WorkSeconds),
            (Limit.Span, parts.SpanSeconds),
            (Limit.Overhead, parts.OverheadSeconds),
            (Limit.Contention, parts.ContentionSeconds),
            (Limit.Serial, parts.SerialSeconds),
        ];
        return shares.MaxBy(share => share.Seconds).Limit;
    }
}
