using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>What a job's phases come to at a core count, seconds; the run time is their sum.</summary>
/// <param name="Serial">The serial phases.</param>
/// <param name="Useful">Units over the workers that can be busy: U/m.</param>
/// <param name="Waiting">The wait for the last leaves of the parallel phases; below 0 where a simulation found it so.</param>
/// <param name="Overhead">Forks, joins, combining, steals and waking.</param>
internal readonly record struct StructureParts(double Serial, double Useful, double Waiting, double Overhead)
{
    public double Seconds => Serial + Useful + Waiting + Overhead;
}

/// <summary>
/// The expected run time of a job's phases against cores: for each parallel phase the closed form of
/// <see cref="ExpectedPhase"/>; serial phases as they are. Where simulated runs are handed in, the curve goes through their
/// means: the difference from the closed form is interpolated in the logarithm of the cores, is 0 on one core, where the
/// closed form is exact, and stays the same past the largest pool simulated.
/// </summary>
internal sealed class StructureCurve : DescribedCurve
{
    private readonly PhaseFigures[] _parallel;
    private readonly (double LogCores, double Seconds, double Spread)[] _simulated;

    /// <param name="structure">The job.</param>
    /// <param name="simulated">Simulated runs of it on pools of workers with a core each; null or empty where there are none.</param>
    public StructureCurve(JobStructure structure, IReadOnlyList<SimulatedPool>? simulated = null)
    {
        Structure = structure;
        SerialSeconds = structure.Phases.OfType<SerialPhase>().Sum(phase => phase.Seconds);
        _parallel = [.. structure.Phases.OfType<ParallelPhase>().Select(phase => new PhaseFigures(phase))];
        SpanSeconds = SerialSeconds + _parallel.Sum(phase => phase.SpanSeconds);
        WorkSeconds = structure.WorkSeconds;
        SimulatedPool[] pools = [.. (simulated ?? []).Where(pool => pool.Pool.Workers > 1 && pool.Pool.WorkerSpeed == 1)
            .DistinctBy(pool => pool.Pool.Workers).OrderBy(pool => pool.Pool.Workers)];
        _simulated = [.. pools.Select(pool => (
            Log(pool.Pool.Workers), pool.MakespanSeconds.Mean - Formula(pool.Pool.Workers).Seconds, Spread(pool)))];
        // The drawn units' own span, where they were drawn: better than the estimate.
        if (pools.Length > 0)
            SpanSeconds = Clamp(pools.Average(pool => pool.MeanSpanSeconds), SerialSeconds, WorkSeconds);
    }

    /// <summary>The job.</summary>
    public JobStructure Structure { get; }

    /// <inheritdoc/>
    public override string What => "phases";

    /// <inheritdoc/>
    public override double WorkSeconds { get; }

    /// <inheritdoc/>
    public override double SpanSeconds { get; }

    /// <summary>The serial phases, seconds.</summary>
    public double SerialSeconds { get; }

    /// <inheritdoc/>
    public override bool IsSimulated => _simulated.Length > 0;

    /// <inheritdoc/>
    public override StructureParts At(double cores)
    {
        StructureParts formula = Formula(cores);
        double more = Interpolated(cores, static point => point.Seconds);
        // What a simulation finds besides is put on the pool's costs or taken off them, and what these cannot give off the wait.
        double overhead = Max(0, formula.Overhead + more);
        double floor = Max(SpanSeconds, formula.Serial + formula.Useful) - formula.Serial - formula.Useful - overhead;
        double waiting = Max(IsSimulated ? floor : formula.Waiting, formula.Waiting + Min(0, formula.Overhead + more));
        return formula with { Overhead = overhead, Waiting = waiting };
    }

    /// <inheritdoc/>
    public override double RelativeSpread(double cores) => Interpolated(cores, static point => point.Spread);

    /// <summary>The parallel phases, in order: what of each does not shrink with more cores depends on how many leaves it has.</summary>
    public IReadOnlyList<PhaseFigures> Parallel => _parallel;

    /// <inheritdoc/>
    public override FittedModel Describe() => new(
        IsSimulated ? "phases, simulated" : "phases", "T = serial + sum over phases of T1/p + wait for the last leaf + steals + waking", 1,
        Figures().Add("serialSeconds", SerialSeconds));

    private static double Spread(SimulatedPool pool) =>
        pool.MakespanSeconds.Mean > 0 ? pool.MakespanSeconds.StandardDeviation / pool.MakespanSeconds.Mean : 0;

    private StructureParts Formula(double cores)
    {
        var sum = new StructureParts(SerialSeconds, 0, 0, 0);
        foreach (PhaseFigures phase in _parallel)
        {
            StructureParts parts = phase.At(cores);
            sum = new StructureParts(sum.Serial, sum.Useful + parts.Useful, sum.Waiting + parts.Waiting, sum.Overhead + parts.Overhead);
        }

        return sum;
    }

    private double Interpolated(double cores, Func<(double LogCores, double Seconds, double Spread), double> value)
    {
        double at = Log(cores);
        (double LogCores, double Seconds, double Spread) below = default;
        foreach (var point in _simulated)
        {
            if (at < point.LogCores)
            {
                double share = (at - below.LogCores) / (point.LogCores - below.LogCores);
                return (1 - share) * value(below) + share * value(point);
            }

            below = point;
        }

        return value(below);
    }

    /// <summary>A parallel phase in figures worked out once.</summary>
    internal sealed class PhaseFigures
    {
        private readonly ExpectedPhase _expected;

        public PhaseFigures(ParallelPhase phase)
        {
            UsefulSeconds = phase.UsefulSeconds;
            Leaves = phase.Tree.Leaves;
            _expected = new ExpectedPhase(phase);
        }

        public ParallelPhase Phase => _expected.Phase;

        public long Leaves { get; }

        public double UsefulSeconds { get; }

        public double SpanSeconds => _expected.SpanSeconds;

        public StructureParts At(double cores)
        {
            PhaseTime time = _expected.At(cores);
            return new StructureParts(
                0, time.UsefulSeconds, time.WaitingSeconds, time.OverheadSeconds + time.AroundSeconds + time.StealingSeconds + time.WakingSeconds);
        }
    }
}
