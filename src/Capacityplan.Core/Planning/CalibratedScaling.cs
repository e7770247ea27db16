using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;
using MathNet.Numerics.Statistics;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// A job's scaling from its phases and timings together: the phases, their durations, span and pool costs multiplied by
/// factors fitted to the timings, as far as they explain these; for the rest curves fitted to the timings alone.
/// </summary>
/// <remarks>
/// The share of either: prior share x exp(-loss), loss being half the squares of what the timings are off, in standard
/// deviations (with Huber's rule), and for the phases what the factors of span and pool costs are off by their priors. Both
/// have about three free figures, one of them the level, so nothing is counted for these. Before a timing is seen the phases have the share <see cref="PriorShare"/> (an
/// assumption: whoever describes a job knows more of it than a formula that fits any). Below <see cref="LeastShare"/> the
/// phases are dropped.
/// </remarks>
public sealed class CalibratedScaling : ScalingForecast
{
    /// <summary>The phases' share before any timing is seen.</summary>
    public const double PriorShare = 0.8;

    /// <summary>A share below this is none.</summary>
    public const double LeastShare = 0.05;

    private readonly DescribedCurve _curve;
    private readonly CalibrationFit _fit;
    private readonly TimingNoise _noise;
    private readonly MeasuredScaling? _measured;
    private readonly int _fromPhases;
    private readonly double _measuredUpTo;

    private CalibratedScaling(
        DescribedCurve curve, CalibrationFit fit, ImmutableArray<TimingGroup> groups, TimingNoise noise, MeasuredScaling? measured, double share)
    {
        _curve = curve;
        _fit = fit;
        _noise = noise;
        _measured = measured;
        _fromPhases = (int)Round(share * fit.Draws.Length);
        _measuredUpTo = groups.Max(group => group.CoresWorth);
        Groups = groups;
        Calibration = new Calibration
        {
            WorkFactor = BandOf(fit.Draws.Select(draw => draw.Work)),
            OverheadFactor = BandOf(fit.Draws.Select(draw => draw.Overhead)),
            SpanFactor = BandOf(fit.Draws.Select(draw => draw.Span)),
            Residuals = [.. groups.Select(group => new CalibrationResidual(
                group.Cores, group.CoresWorth, Exp(group.LogMedian) / CalibrationFit.Terms.At(curve, group.CoresWorth).Seconds(fit.Centre) - 1))],
            Share = share,
            Described = curve.What,
        };
        double[] one = new double[DrawCount];
        CurveSeconds(1, one);
        WorkSeconds = one.Median();
        double phases = fit.Draws.Select(draw => draw.Work * draw.Span * curve.SpanSeconds).Median();
        SpanSeconds = Min(WorkSeconds, share * phases + (1 - share) * (measured?.SpanSeconds ?? 0));
        Models = Describe(share);
    }

    /// <summary>What the timings say of the phases.</summary>
    public Calibration Calibration { get; }

    /// <summary>The curves fitted to the timings alone; null where these are on one core count.</summary>
    public MeasuredScaling? Measured => _measured;

    /// <inheritdoc/>
    public override ImmutableArray<TimingGroup> Groups { get; }

    /// <inheritdoc/>
    public override int DrawCount => _fit.Draws.Length;

    /// <inheritdoc/>
    public override double? MeasuredUpToCores => _measuredUpTo;

    /// <inheritdoc/>
    public override double WorkSeconds { get; }

    /// <inheritdoc/>
    public override double SpanSeconds { get; }

    /// <inheritdoc/>
    public override double RunToRunNoise => _noise.RunToRun;

    /// <inheritdoc/>
    public override IReadOnlyList<FittedModel> Models { get; }

    /// <summary>Calibrates phases by timings.</summary>
    /// <param name="structure">The phases.</param>
    /// <param name="timings">Measured runs; one or more. With runs on one core count alone the phases carry everything but the speed.</param>
    /// <param name="coresWorth">What a stated core count is worth in physical cores of the machine measured on.</param>
    /// <param name="seed">Seed of the draws; the same job, timings and seed give the same curves.</param>
    /// <param name="simulated">Simulated runs of the phases, on pools of workers with a core each; null where there are none yet.</param>
    /// <param name="draws">How many curves; 10 or more.</param>
    /// <param name="assumed">How noisy the machine measured on is taken to be.</param>
    /// <param name="progress">Told the share of the work that is done, now and then.</param>
    /// <param name="cancellation">Stops the work.</param>
    /// <exception cref="ArgumentException">There are no timings.</exception>
    public static CalibratedScaling Fit(
        JobStructure structure, IReadOnlyList<Timing> timings, Func<int, double> coresWorth, int seed,
        IReadOnlyList<SimulatedPool>? simulated = null, int draws = MeasuredScaling.DefaultDraws, AssumedNoise assumed = default,
        IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(structure);
        return Fit(new StructureCurve(structure, simulated), timings, coresWorth, seed, draws, assumed, progress, cancellation);
    }

    /// <summary>Calibrates a task graph by timings.</summary>
    /// <param name="job">The job.</param>
    /// <param name="timings">Measured runs; one or more.</param>
    /// <param name="coresWorth">What a stated core count is worth in physical cores of the machine measured on.</param>
    /// <param name="seed">Seed of the draws; the same job, timings and seed give the same curves.</param>
    /// <param name="simulated">Simulated runs of the graph, on pools of workers with a core each; null where there are none yet.</param>
    /// <param name="draws">How many curves; 10 or more.</param>
    /// <param name="assumed">How noisy the machine measured on is taken to be.</param>
    /// <param name="progress">Told the share of the work that is done, now and then.</param>
    /// <param name="cancellation">Stops the work.</param>
    /// <exception cref="ArgumentException">There are no timings.</exception>
    public static CalibratedScaling Fit(
        GraphJob job, IReadOnlyList<Timing> timings, Func<int, double> coresWorth, int seed,
        IReadOnlyList<SimulatedPool>? simulated = null, int draws = MeasuredScaling.DefaultDraws, AssumedNoise assumed = default,
        IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(job);
        return Fit(new GraphCurve(job, simulated), timings, coresWorth, seed, draws, assumed, progress, cancellation);
    }

    private static CalibratedScaling Fit(
        DescribedCurve curve, IReadOnlyList<Timing> timings, Func<int, double> coresWorth, int seed, int draws,
        AssumedNoise assumed, IProgress<double>? progress, CancellationToken cancellation)
    {
        Require.AtLeast(draws, 10);
        ImmutableArray<TimingGroup> groups = TimingGroup.Of(timings, coresWorth);
        if (groups.IsEmpty)
            throw new ArgumentException($"The {curve.What} are calibrated by timings; there are none.", nameof(timings));
        TimingNoise noise = TimingNoise.Estimate(groups, assumed);
        MeasuredScaling? sized = null;
        if (groups.Length > 1 && timings.Any(timing => timing.Size != 1))
        {
            // Phases are stated for the planned input: runs of other sizes are brought to it by what they say of the growth.
            sized = MeasuredScaling.Fit(timings, coresWorth, seed, draws, assumed, progress, cancellation);
            (groups, noise) = (sized.Groups, sized.Noise);
        }

        // The two fits know nothing of each other: side by side, a page's answer comes sooner.
        Task<MeasuredScaling?> alone = groups.Length < 2 || sized is not null
            ? Task.FromResult(sized)
            : Task.Run<MeasuredScaling?>(() => MeasuredScaling.Fit(timings, coresWorth, seed, draws, assumed, progress, cancellation), cancellation);
        var fit = new CalibrationFit(curve, groups, noise, seed, draws, cancellation);
        MeasuredScaling? measured = alone.GetAwaiter().GetResult();
        return new CalibratedScaling(curve, fit, groups, noise, measured, measured is null ? 1 : Share(fit, measured, noise));
    }

    /// <inheritdoc/>
    /// <remarks>Phases say nothing of other inputs: what runs of several sizes say counts where these alone carry the forecast.</remarks>
    public override SizeGrowth? Growth => _fromPhases == 0 ? _measured?.Growth : null;

    /// <inheritdoc/>
    public override void CurveSeconds(double cores, double size, Span<double> seconds)
    {
        if (Growth is null)
        {
            base.CurveSeconds(cores, size, seconds);
            return;
        }

        _measured!.SpreadSeconds(cores, size, seconds[..DrawCount]);
    }

    /// <inheritdoc/>
    public override void CurveSeconds(double cores, Span<double> seconds)
    {
        CalibrationFit.Terms terms = CalibrationFit.Terms.At(_curve, Require.AtLeast(cores, 1.0));
        // Every so-manieth draw of either, so that each keeps its whole spread.
        int total = DrawCount;
        for (int draw = 0; draw < _fromPhases; draw++)
            seconds[draw] = terms.Seconds(_fit.Draws[(int)((long)draw * total / _fromPhases)]);
        if (_fromPhases < total)
            _measured!.SpreadSeconds(cores, 1, seconds[_fromPhases..total]);
    }

    /// <inheritdoc/>
    public override void CurveParts(double cores, Span<CurveParts> parts)
    {
        CalibrationFit.Terms terms = CalibrationFit.Terms.At(_curve, Require.AtLeast(cores, 1.0));
        int total = DrawCount;
        for (int draw = 0; draw < _fromPhases; draw++)
            parts[draw] = terms.Parts(_fit.Draws[(int)((long)draw * total / _fromPhases)]);
        if (_fromPhases < total)
            _measured!.SpreadParts(cores, parts[_fromPhases..total]);
    }

    /// <inheritdoc/>
    public override double LogNoise(double cores)
    {
        Require.AtLeast(cores, 1.0);
        if (_measured is not null)
            return _measured.LogNoise(cores);
        double past = MeasuredScaling.ScatterPerDoubling * Max(0, Log2(cores / _measuredUpTo));
        return Sqrt(_noise.RunToRun * _noise.RunToRun + _noise.Sitting * _noise.Sitting + past * past);
    }

    /// <inheritdoc/>
    public override RunTimeParts Parts(double cores)
    {
        StructureParts stated = _curve.At(Require.AtLeast(cores, 1.0));
        CalibrationFactors factors = _fit.Centre;
        double span = Min(factors.Span, CalibrationFit.Terms.At(_curve, cores).MostSpan);
        RunTimeParts phases = StructuredScaling.Shown(
            new StructureParts(
                factors.Work * stated.Serial * (1 / cores + span * (1 - 1 / cores)), factors.Work * stated.Useful,
                factors.Work * span * stated.Waiting, factors.Overhead * stated.Overhead));
        RunTimeParts others = _measured?.Parts(cores) ?? default;
        double share = Calibration.Share;
        double Mixed(double own, double other) => share * own + (1 - share) * other;
        return new RunTimeParts(
            Mixed(phases.WorkSeconds, others.WorkSeconds), Mixed(phases.SpanSeconds, others.SpanSeconds),
            Mixed(phases.OverheadSeconds, others.OverheadSeconds), Mixed(phases.ContentionSeconds, others.ContentionSeconds),
            Mixed(phases.SerialSeconds, others.SerialSeconds), Mixed(phases.BandwidthSeconds, others.BandwidthSeconds));
    }

    private static double Share(CalibrationFit fit, MeasuredScaling measured, TimingNoise noise)
    {
        double[] offs = [.. measured.Groups.Select(group =>
        {
            RunTimeParts parts = measured.Parts(group.CoresWorth);
            double centre = parts.TotalSeconds;
            return (group.LogMedian - Log(centre)) / Sqrt(noise.VarianceOfMedian(group));
        })];
        double share = 1 / (1 + (1 - PriorShare) / PriorShare * Exp(Min(700, fit.ComparedLoss - CalibrationFit.LossOf(offs))));
        return share < LeastShare ? 0 : share;
    }

    private static Band BandOf(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        double Quantile(double share) => SortedArrayStatistics.Quantile(sorted, share);
        return new Band(Quantile(0.5), Quantile(0.1), Quantile(0.9));
    }

    private ImmutableArray<FittedModel> Describe(double share)
    {
        FittedModel stated = _curve.Describe();
        FittedModel phases = stated with
        {
            Name = stated.Name + ", calibrated",
            Formula = $"{_curve.What}, durations x w, pool costs x o, span x s",
            Weight = share,
            Parameters = stated.Parameters.SetItem("workFactor", _fit.Centre.Work).SetItem("overheadFactor", _fit.Centre.Overhead)
                .SetItem("spanFactor", _fit.Centre.Span),
        };
        IEnumerable<FittedModel> others = (_measured?.Models ?? []).Select(model => model with { Weight = model.Weight * (1 - share) });
        return [.. others.Prepend(phases).Where(model => model.Weight > 0).OrderByDescending(model => model.Weight)];
    }
}
