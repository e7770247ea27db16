using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.Random;
using MathNet.Numerics.Statistics;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// A job's scaling from its phases: at once from a closed form, and through simulated means once there are some. The curves
/// differ by how far what is stated of each phase may be off.
/// </summary>
/// <remarks>
/// How far off, as log-scatter, independent between phases (assumptions, shown on the methods page): the length of a serial
/// phase <see cref="SerialScatter"/>; the mean of units described by a distribution <see cref="GuessedScatter"/>, of units
/// measured one by one <see cref="StatedScaling.WorkScatter"/> together with the error of the sample's own mean; the longest
/// unit on top of that <see cref="StatedScaling.SpanScatter"/> where the distribution was guessed, half of it where it was
/// measured, and none where all units are alike.
/// </remarks>
public sealed class StructuredScaling : ScalingForecast
{
    /// <summary>Log-scatter of a serial phase's stated length.</summary>
    public const double SerialScatter = 0.05;

    /// <summary>Log-scatter of the mean of units described by a distribution.</summary>
    public const double GuessedScatter = 0.1;

    /// <summary>Log-scatter of the longest of units that were measured.</summary>
    public const double MeasuredSpanScatter = StatedScaling.SpanScatter / 2;

    private readonly StructureCurve _curve;
    private readonly double[] _serialSeconds;
    private readonly double[][] _unitFactors;
    private readonly double[][] _spanFactors;

    /// <summary>Makes the curves.</summary>
    /// <param name="structure">The job's phases.</param>
    /// <param name="seed">Seed of the draws.</param>
    /// <param name="simulated">Simulated runs of the job, on pools of workers with a core each; null where there are none yet.</param>
    /// <param name="draws">How many curves; 10 or more.</param>
    /// <param name="assumed">How noisy the machine is taken to be.</param>
    public StructuredScaling(
        JobStructure structure, int seed, IReadOnlyList<SimulatedPool>? simulated = null, int draws = MeasuredScaling.DefaultDraws,
        AssumedNoise assumed = default)
    {
        RunToRunNoise = assumed.RunToRun;
        ArgumentNullException.ThrowIfNull(structure);
        Require.AtLeast(draws, 10);
        _curve = new StructureCurve(structure, simulated);
        var normal = new Normal(0, 1, new Xoshiro256StarStar(seed, threadSafe: false));
        double[] Factors(double scatter) => [.. Enumerable.Range(0, draws).Select(_ => Exp(scatter * normal.Sample()))];
        _serialSeconds = new double[draws];
        foreach (SerialPhase serial in structure.Phases.OfType<SerialPhase>())
        {
            double[] factors = Factors(SerialScatter);
            for (int draw = 0; draw < draws; draw++)
                _serialSeconds[draw] += serial.Seconds * factors[draw];
        }

        _unitFactors = [.. _curve.Parallel.Select(phase => Factors(UnitScatter(phase.Phase.UnitSizes)))];
        _spanFactors = [.. _curve.Parallel.Select(phase => Factors(SpanScatter(phase.Phase.UnitSizes)))];
        double[] one = new double[draws];
        CurveSeconds(1, one);
        WorkSeconds = one.Median();
        SpanSeconds = Min(_curve.SpanSeconds, WorkSeconds);
        Models = [_curve.Describe()];
    }

    /// <summary>The job's phases.</summary>
    public JobStructure Structure => _curve.Structure;

    /// <summary>True where the curves go through simulated means.</summary>
    public bool IsSimulated => _curve.IsSimulated;

    /// <inheritdoc/>
    public override int DrawCount => _serialSeconds.Length;

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
        // What is not the units' own: the same for every curve.
        double besides = parts.Overhead + parts.Waiting;
        _serialSeconds.CopyTo(seconds);
        double[] floors = [.. _serialSeconds];
        for (int number = 0; number < _unitFactors.Length; number++)
        {
            StructureCurve.PhaseFigures phase = _curve.Parallel[number];
            StructureParts own = phase.At(cores);
            (double useful, double waiting) = (own.Useful, own.Waiting);
            besides -= waiting;
            for (int draw = 0; draw < seconds.Length; draw++)
            {
                double units = _unitFactors[number][draw];
                double span = _spanFactors[number][draw];
                seconds[draw] += units * (useful + span * waiting);
                floors[draw] += units * Max(useful, Min(span * phase.SpanSeconds, phase.UsefulSeconds));
            }
        }

        // A simulation may have found less than the closed form: no less than the laws allow.
        for (int draw = 0; draw < seconds.Length; draw++)
            seconds[draw] = Max(besides < 0 ? Min(floors[draw], seconds[draw]) : 0, seconds[draw] + besides);
    }

    /// <inheritdoc/>
    public override void CurveParts(double cores, Span<CurveParts> parts)
    {
        double[] seconds = new double[DrawCount];
        CurveSeconds(cores, seconds);
        double[] even = [.. _serialSeconds.Select(serial => serial / cores)];
        double[] waiting = [.. _serialSeconds.Select(serial => serial * (1 - 1 / cores))];
        for (int number = 0; number < _unitFactors.Length; number++)
        {
            StructureParts own = _curve.Parallel[number].At(cores);
            for (int draw = 0; draw < seconds.Length; draw++)
            {
                even[draw] += _unitFactors[number][draw] * (own.Useful + Min(0, own.Waiting));
                waiting[draw] += _unitFactors[number][draw] * _spanFactors[number][draw] * Max(0, own.Waiting);
            }
        }

        for (int draw = 0; draw < seconds.Length; draw++)
        {
            // A simulation may have found less than the closed form's wait: then the wait is what is left of it.
            double overhead = Max(0, seconds[draw] - even[draw] - waiting[draw]);
            double waited = Max(0, seconds[draw] - even[draw] - overhead);
            parts[draw] = new CurveParts(seconds[draw] - waited - overhead, waited, overhead);
        }
    }

    /// <inheritdoc/>
    public override double LogNoise(double cores)
    {
        double spread = _curve.RelativeSpread(Require.AtLeast(cores, 1.0));
        return Sqrt(RunToRunNoise * RunToRunNoise + spread * spread);
    }

    /// <inheritdoc/>
    public override RunTimeParts Parts(double cores) => Shown(_curve.At(Require.AtLeast(cores, 1.0)));

    /// <summary>The parts in the words of every forecast: more cores shorten the work, the span is waited for.</summary>
    internal static RunTimeParts Shown(StructureParts parts) => new(parts.Useful, Max(0, parts.Waiting), parts.Overhead, 0, parts.Serial);

    private static double UnitScatter(TaskSizes sizes) => sizes is SampleSizes sample
        ? Sqrt(StatedScaling.WorkScatter * StatedScaling.WorkScatter + Square(sample.StandardDeviation / sample.Mean) / sample.Count)
        : GuessedScatter;

    private static double SpanScatter(TaskSizes sizes) => sizes switch
    {
        ConstantSizes => 0,
        SampleSizes => MeasuredSpanScatter,
        _ => StatedScaling.SpanScatter,
    };

    private static double Square(double x) => x * x;
}
