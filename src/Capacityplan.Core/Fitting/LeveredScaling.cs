using System.Collections.Immutable;
using MathNet.Numerics.Statistics;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>What a what-if makes of a job's curves: factors, and seconds to add where tasks are split otherwise.</summary>
/// <param name="Work">T1, times the base; above 0.</param>
/// <param name="Span">T_inf, times the base; 0 or more.</param>
/// <param name="Overhead">What forks, joins, steals and workers in each other's way take, times the base; 0 or more.</param>
/// <param name="Added">Seconds that another split size adds to each part at a core count, before the factors; null for none.</param>
/// <param name="AddedSpanSeconds">Seconds it adds to T_inf, likewise.</param>
public sealed record CurveLevers(
    double Work = 1, double Span = 1, double Overhead = 1, Func<double, CurveParts>? Added = null, double AddedSpanSeconds = 0);

/// <summary>
/// A job's curves with another work, span or overhead than they were fitted or stated with. Each curve keeps its own shares,
/// so that how little is known of a share is how little is known of what changing it brings.
/// </summary>
/// <remarks>
/// Every curve is T1/p + waiting(p) + overhead(p), the greedy bound's (T1 - T_inf)/p + T_inf being T1/p + T_inf (1 - 1/p).
/// With factors w, s and o it becomes w T1/p + s waiting(p) + o overhead(p): w makes the work longer or shorter and leaves
/// the span; s the span and leaves the work, so that what no longer has to run in order runs beside the rest. A span that is
/// made longer is at most the work. The scatter about a curve stays as it was.
/// </remarks>
public sealed class LeveredScaling : ScalingForecast
{
    private const double LeastShare = 1e-9;

    private readonly CurveLevers _levers;

    /// <summary>Puts levers on curves.</summary>
    /// <param name="scaling">The curves.</param>
    /// <param name="levers">The levers.</param>
    /// <exception cref="ArgumentOutOfRangeException">A factor is NaN, infinite or outside its range.</exception>
    public LeveredScaling(ScalingForecast scaling, CurveLevers levers)
    {
        ArgumentNullException.ThrowIfNull(scaling);
        ArgumentNullException.ThrowIfNull(levers);
        Require.Positive(levers.Work, nameof(CurveLevers.Work));
        Require.NotNegative(levers.Span, nameof(CurveLevers.Span));
        Require.NotNegative(levers.Overhead, nameof(CurveLevers.Overhead));
        (Unchanged, _levers) = (scaling, levers);
        double[] one = new double[DrawCount];
        CurveSeconds(1, one);
        WorkSeconds = one.Median();
        SpanSeconds = Clamp(levers.Span * (scaling.SpanSeconds + levers.AddedSpanSeconds), 0, WorkSeconds);
    }

    /// <summary>The curves without the levers.</summary>
    public ScalingForecast Unchanged { get; }

    /// <inheritdoc/>
    public override int DrawCount => Unchanged.DrawCount;

    /// <inheritdoc/>
    public override double? MeasuredUpToCores => Unchanged.MeasuredUpToCores;

    /// <summary>None: what was measured was measured without the levers.</summary>
    public override ImmutableArray<TimingGroup> Groups => [];

    /// <inheritdoc/>
    public override double WorkSeconds { get; }

    /// <inheritdoc/>
    public override double SpanSeconds { get; }

    /// <inheritdoc/>
    public override double RunToRunNoise => Unchanged.RunToRunNoise;

    /// <summary>The models of the curves without the levers.</summary>
    public override IReadOnlyList<FittedModel> Models => Unchanged.Models;

    /// <inheritdoc/>
    public override SizeGrowth? Growth => Unchanged.Growth;

    /// <inheritdoc/>
    public override double LogNoise(double cores) => Unchanged.LogNoise(cores);

    /// <inheritdoc/>
    public override double SharedLogVariance(double one, double other) => Unchanged.SharedLogVariance(one, other);

    /// <inheritdoc/>
    public override void CurveSeconds(double cores, Span<double> seconds)
    {
        CurveParts[] parts = new CurveParts[DrawCount];
        CurveParts(cores, parts);
        for (int draw = 0; draw < parts.Length; draw++)
            seconds[draw] = parts[draw].Seconds;
    }

    /// <summary>The time for another input, as much longer as that of the curve without the levers is.</summary>
    /// <param name="cores">Cores' worth; 1 or more and finite.</param>
    /// <param name="size">The input, times the planned one; above 0 and finite.</param>
    /// <param name="seconds">Receives <see cref="DrawCount"/> times, seconds, each above 0.</param>
    public override void CurveSeconds(double cores, double size, Span<double> seconds)
    {
        CurveSeconds(cores, seconds);
        double[] planned = new double[DrawCount], sized = new double[DrawCount];
        Unchanged.CurveSeconds(cores, planned);
        Unchanged.CurveSeconds(cores, size, sized);
        for (int draw = 0; draw < planned.Length; draw++)
            seconds[draw] *= sized[draw] / planned[draw];
    }

    /// <inheritdoc/>
    public override void CurveParts(double cores, Span<CurveParts> parts)
    {
        Unchanged.CurveParts(cores, parts);
        CurveParts added = _levers.Added?.Invoke(cores) ?? default;
        for (int draw = 0; draw < parts.Length; draw++)
            parts[draw] = Pulled(parts[draw], added, cores, _levers.Work, _levers.Span, _levers.Overhead);
    }

    /// <inheritdoc/>
    public override RunTimeParts Parts(double cores)
    {
        RunTimeParts parts = Unchanged.Parts(cores), one = Unchanged.Parts(1);
        CurveParts added = _levers.Added?.Invoke(cores) ?? default;
        double spanOnOne = (one.SpanSeconds + one.SerialSeconds) / cores;
        return new RunTimeParts(
            Max(0, _levers.Work * (parts.WorkSeconds + added.EvenSeconds) + (_levers.Work - _levers.Span) * spanOnOne),
            _levers.Span * Max(0, parts.SpanSeconds + added.WaitingSeconds), _levers.Overhead * Max(0, parts.OverheadSeconds + added.OverheadSeconds),
            _levers.Overhead * parts.ContentionSeconds, _levers.Span * parts.SerialSeconds, _levers.Overhead * parts.BandwidthSeconds);
    }

    /// <summary>A curve's parts with factors on them.</summary>
    internal static CurveParts Pulled(CurveParts parts, CurveParts added, double cores, double work, double span, double overhead)
    {
        double even = work * Max(LeastShare * parts.EvenSeconds, parts.EvenSeconds + added.EvenSeconds);
        double waiting = Max(0, parts.WaitingSeconds + added.WaitingSeconds);
        double pulled = span * waiting;
        // A span is part of the work: T1 (1 - 1/p) is the most that it keeps cores waiting.
        if (pulled > waiting)
            pulled = Min(pulled, Max(waiting, even * (cores - 1)));
        return new CurveParts(even, pulled, overhead * Max(0, parts.OverheadSeconds + added.OverheadSeconds));
    }
}
