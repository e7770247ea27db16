using Capacityplan.Core.Fitting;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Stealing;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.Random;
using MathNet.Numerics.Statistics;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// A job's scaling from its task graph: at once the greedy bound, and through simulated means once there are some. The curves
/// differ by how far the durations may be off: all of them together by <see cref="StatedScaling.WorkScatter"/>, and those that
/// are waited for by <see cref="StructuredScaling.MeasuredSpanScatter"/> besides, as log-scatter (assumptions, shown on the
/// methods page).
/// </summary>
public sealed class GraphScaling : ScalingForecast
{
    private readonly GraphCurve _curve;
    private readonly double[] _workFactors;
    private readonly double[] _spanFactors;

    /// <summary>Makes the curves.</summary>
    /// <param name="job">The job.</param>
    /// <param name="seed">Seed of the draws.</param>
    /// <param name="simulated">Simulated runs of the graph, on pools of workers with a core each; null where there are none yet.</param>
    /// <param name="draws">How many curves; 10 or more.</param>
    /// <param name="assumed">How noisy the machine is taken to be.</param>
    public GraphScaling(GraphJob job, int seed, IReadOnlyList<SimulatedPool>? simulated = null, int draws = MeasuredScaling.DefaultDraws,
        AssumedNoise assumed = default)
    {
        ArgumentNullException.ThrowIfNull(job);
        Require.AtLeast(draws, 10);
        RunToRunNoise = assumed.RunToRun;
        _curve = new GraphCurve(job, simulated);
        var normal = new Normal(0, 1, new Xoshiro256StarStar(seed, threadSafe: false));
        double[] Factors(double scatter) => [.. Enumerable.Range(0, draws).Select(_ => Exp(scatter * normal.Sample()))];
        _workFactors = Factors(StatedScaling.WorkScatter);
        _spanFactors = Factors(StructuredScaling.MeasuredSpanScatter);
        double[] one = new double[draws];
        CurveSeconds(1, one);
        WorkSeconds = one.Median();
        SpanSeconds = Min(_curve.SpanSeconds, WorkSeconds);
        Models = [_curve.Describe()];
    }

    /// <summary>True where the curves go through simulated means.</summary>
    public bool IsSimulated => _curve.IsSimulated;

    /// <inheritdoc/>
    public override int DrawCount => _workFactors.Length;

    /// <inheritdoc/>
    public override double? MeasuredUpToCores => null;

    /// <inheritdoc/>
    public override double WorkSeconds { get; }

    /// <inheritdoc/>
    public override double SpanSeconds { get; }

    /// <inheritdoc/>
    public override double RunToRunNoise { get; }

    /// <inheritdoc/>
    public override IReadOnlyList<FittedModel> Models { get; }

    /// <inheritdoc/>
    public override void CurveSeconds(double cores, Span<double> seconds)
    {
        Require.AtLeast(cores, 1.0);
        StructureParts parts = _curve.At(cores);
        for (int draw = 0; draw < seconds.Length; draw++)
        {
            double span = Min(_spanFactors[draw] * _curve.SpanSeconds, _curve.WorkSeconds);
            double floor = Max(parts.Useful, span - parts.Overhead);
            seconds[draw] = _workFactors[draw] * Max(floor, parts.Useful + _spanFactors[draw] * parts.Waiting) + parts.Overhead;
        }
    }

    /// <inheritdoc/>
    public override double LogNoise(double cores)
    {
        double spread = _curve.RelativeSpread(Require.AtLeast(cores, 1.0));
        return Sqrt(RunToRunNoise * RunToRunNoise + spread * spread);
    }

    /// <inheritdoc/>
    public override RunTimeParts Parts(double cores) => StructuredScaling.Shown(_curve.At(Require.AtLeast(cores, 1.0)));
}
