using Capacityplan.Core.Fitting;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Stealing;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// The expected run time of a task graph against cores. Before anything is simulated it is the greedy bound
/// (T1 - T_inf)/p + T_inf, forks and joins in both: T1/p, and of the span the share 1 - 1/p waited for. Simulated runs say how much of
/// that is waited for in truth, and what steals take; both are interpolated in the logarithm of the cores, the first is the
/// same below the smallest and past the largest pool, the second is 0 on one core. Never below max(T1/p, T_inf).
/// </summary>
internal sealed class GraphCurve : DescribedCurve
{
    private readonly (double LogCores, double Waited, double Stealing, double Spread)[] _simulated;

    /// <param name="job">The job.</param>
    /// <param name="simulated">Simulated runs of it on pools of workers with a core each; null or empty where there are none.</param>
    public GraphCurve(GraphJob job, IReadOnlyList<SimulatedPool>? simulated = null)
    {
        Job = job;
        SpanSeconds = job.SpanSeconds;
        _simulated =
        [
            .. (simulated ?? []).Where(pool => pool.Pool.Workers > 1 && pool.Pool.WorkerSpeed == 1)
                .DistinctBy(pool => pool.Pool.Workers).OrderBy(pool => pool.Pool.Workers)
                .Select(pool => (Log(pool.Pool.Workers), Waited(pool), Stealing(pool), Spread(pool))),
        ];
    }

    /// <summary>The job.</summary>
    public GraphJob Job { get; }

    /// <inheritdoc/>
    public override string What => "tasks";

    /// <inheritdoc/>
    public override double WorkSeconds => Job.WorkSeconds;

    /// <inheritdoc/>
    public override double SpanSeconds { get; }

    /// <inheritdoc/>
    public override bool IsSimulated => _simulated.Length > 0;

    /// <inheritdoc/>
    public override StructureParts At(double cores)
    {
        double useful = Job.Graph.WorkSeconds / cores;
        double overhead = Job.Graph.Count * Job.CostSeconds / cores;
        double waiting = MostWaiting(cores);
        if (IsSimulated)
        {
            double log = Log(cores);
            // On one core, and below the smallest pool, a share of the same wait and no steals.
            waiting *= Interpolated(log, _simulated[0].Waited, static point => point.Waited);
            overhead += Interpolated(log, 0, static point => point.Stealing);
        }

        double floor = Max(WorkSeconds / cores, SpanSeconds);
        return new StructureParts(0, useful, Max(waiting, floor - useful - overhead), overhead);
    }

    /// <inheritdoc/>
    public override double RelativeSpread(double cores) => IsSimulated ? Interpolated(Log(cores), 0, static point => point.Spread) : 0;

    /// <inheritdoc/>
    public override FittedModel Describe() => new(
        IsSimulated ? "task graph, simulated" : "task graph", IsSimulated ? "T = T1/p + what is waited for of T_inf + steals" : "T = (T1 - T_inf)/p + T_inf", 1, Figures());

    private double MostWaiting(double cores) => SpanSeconds * (1 - 1 / cores);

    // Time without work of all workers, over what a greedy schedule may have of it at most.
    private double Waited(SimulatedPool pool) =>
        SpanSeconds > 0 ? pool.Runs.Average(run => run.IdleSeconds) / pool.Pool.Workers / MostWaiting(pool.Pool.Workers) : 0;

    private static double Stealing(SimulatedPool pool) => pool.Runs.Average(run => run.StealingSeconds) / pool.Pool.Workers;

    private static double Spread(SimulatedPool pool) =>
        pool.MakespanSeconds.Mean > 0 ? pool.MakespanSeconds.StandardDeviation / pool.MakespanSeconds.Mean : 0;

    private double Interpolated(
        double at, double onOne, Func<(double LogCores, double Waited, double Stealing, double Spread), double> value)
    {
        (double logCores, double below) = (0, onOne);
        foreach (var point in _simulated)
        {
            if (at < point.LogCores)
            {
                double share = (at - logCores) / (point.LogCores - logCores);
                return (1 - share) * below + share * value(point);
            }

            (logCores, below) = (point.LogCores, value(point));
        }

        return below;
    }
}
