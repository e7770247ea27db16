using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Laws;
using Capacityplan.Core.Stealing;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.Random;
using MathNet.Numerics.Statistics;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// A job's scaling from its stated work and span: the greedy bound (T1 - T_inf)/p + T_inf with forks and joins in T1, plus
/// the closed-form estimate of what steals add. The curves differ by how far the stated figures may be off.
/// </summary>
public sealed class StatedScaling : ScalingForecast
{
    /// <summary>Log-scatter of stated work: how far off it may be. An assumption, shown on the methods page.</summary>
    public const double WorkScatter = 0.03;

    /// <summary>Log-scatter of stated span; larger, since a span is seldom measured. An assumption.</summary>
    public const double SpanScatter = 0.2;

    private readonly WorkAndSpan _job;
    private readonly double[] _workFactors;
    private readonly double[] _spanFactors;

    /// <summary>Makes the curves.</summary>
    /// <param name="job">The stated work and span.</param>
    /// <param name="seed">Seed of the draws.</param>
    /// <param name="draws">How many curves; 10 or more.</param>
    /// <param name="assumed">How noisy the machine is taken to be.</param>
    public StatedScaling(WorkAndSpan job, int seed, int draws = MeasuredScaling.DefaultDraws, AssumedNoise assumed = default)
    {
        RunToRunNoise = assumed.RunToRun;
        Require.AtLeast(draws, 10);
        _job = job;
        var normal = new Normal(0, 1, new Xoshiro256StarStar(seed, threadSafe: false));
        _workFactors = [.. Enumerable.Range(0, draws).Select(_ => Exp(WorkScatter * normal.Sample()))];
        _spanFactors = [.. Enumerable.Range(0, draws).Select(_ => Exp(SpanScatter * normal.Sample()))];
        double[] one = new double[draws];
        CurveSeconds(1, one);
        WorkSeconds = one.Median();
        var parameters = ImmutableSortedDictionary.CreateBuilder<string, double>(StringComparer.Ordinal);
        parameters["workSeconds"] = job.WorkSeconds;
        parameters["spanSeconds"] = job.SpanSeconds;
        parameters["overheadSeconds"] = StealOverhead.ExpectedSeconds(job, 1).Seconds - job.WorkSeconds;
        Models = [new FittedModel("work and span", "T = (T1 - T_inf)/p + T_inf + steals", 1, parameters.ToImmutable())];
    }

    /// <inheritdoc/>
    public override int DrawCount => _workFactors.Length;

    /// <inheritdoc/>
    public override double? MeasuredUpToCores => null;

    /// <inheritdoc/>
    public override double WorkSeconds { get; }

    /// <inheritdoc/>
    public override double SpanSeconds => Min(_job.SpanSeconds, WorkSeconds);

    /// <inheritdoc/>
    public override double RunToRunNoise { get; }

    /// <inheritdoc/>
    public override IReadOnlyList<FittedModel> Models { get; }

    /// <inheritdoc/>
    public override void CurveSeconds(double cores, Span<double> seconds)
    {
        double expected = StealOverhead.ExpectedSeconds(_job, cores).Seconds;
        // What the estimate holds beyond the two stated figures, the same for every curve.
        double besides = expected - (_job.WorkSeconds - _job.SpanSeconds) / cores - _job.SpanSeconds;
        for (int draw = 0; draw < seconds.Length; draw++)
        {
            double work = _job.WorkSeconds * _workFactors[draw];
            double span = Min(work, _job.SpanSeconds * _spanFactors[draw]);
            seconds[draw] = Max(WorkSpanLaws.FloorSeconds(work, span, cores), (work - span) / cores + span + besides);
        }
    }

    /// <inheritdoc/>
    public override void CurveParts(double cores, Span<CurveParts> parts)
    {
        double[] seconds = new double[DrawCount];
        CurveSeconds(cores, seconds);
        for (int draw = 0; draw < seconds.Length; draw++)
        {
            double even = _job.WorkSeconds * _workFactors[draw] / cores;
            double waiting = Min(_job.WorkSeconds * _workFactors[draw], _job.SpanSeconds * _spanFactors[draw]) * (1 - 1 / cores);
            // With fewer tasks than cores the estimate holds a wait for the work itself, which is neither; it goes with what the pool costs.
            parts[draw] = new CurveParts(even, waiting, seconds[draw] - even - waiting);
        }
    }

    /// <inheritdoc/>
    public override double LogNoise(double cores) => RunToRunNoise;

    /// <inheritdoc/>
    public override RunTimeParts Parts(double cores)
    {
        double work = (_job.WorkSeconds - _job.SpanSeconds) / cores;
        double all = StealOverhead.ExpectedSeconds(_job, cores).Seconds;
        return new RunTimeParts(work, _job.SpanSeconds, Max(0, all - work - _job.SpanSeconds), 0);
    }
}
