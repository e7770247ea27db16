using Capacityplan.Core.Fitting;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Web.Plans;

/// <summary>
/// How the jobs of an open plan scale, kept while only windows, prices, what-ifs or the order of a night change. Used by one
/// piece of work at a time; simulated runs may come in on any thread.
/// </summary>
public sealed class ScalingMemory
{
    private const int Seed = 1;
    private const int CoarseDraws = MeasuredScaling.DefaultDraws / 5;

    private readonly Lock _lock = new();
    private (JobStructure Structure, IReadOnlyList<SimulatedPool> Pools)? _simulated;
    private (GraphJob Job, IReadOnlyList<SimulatedPool> Pools)? _simulatedGraph;
    private int _taken;
    private (Plan Plan, ScalingForecast Scaling)? _own;
    private (Plan Plan, ScalingForecast Scaling)[] _others = [];
    private (Plan Plan, ScalingForecast Scaling)? _night;

    /// <summary>Takes simulated runs of the job's phases, which then stand in for the closed form.</summary>
    /// <param name="structure">The phases simulated.</param>
    /// <param name="pools">The runs, on pools of workers with a core each.</param>
    public void Take(JobStructure structure, IReadOnlyList<SimulatedPool> pools)
    {
        lock (_lock)
        {
            (_simulated, _own, _night) = ((structure, pools), null, null);
            _taken++;
        }
    }

    /// <summary>Takes simulated runs of the job's task graph, which then stand in for the greedy bound.</summary>
    /// <param name="job">The job simulated.</param>
    /// <param name="pools">The runs, on pools of workers with a core each.</param>
    public void Take(GraphJob job, IReadOnlyList<SimulatedPool> pools)
    {
        lock (_lock)
        {
            (_simulatedGraph, _own, _night) = ((job, pools), null, null);
            _taken++;
        }
    }

    /// <summary>How a plan's job, or its whole night, scales.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="progress">Told how much of a fit is done, from 0 to 1.</param>
    /// <param name="cancellation">Stops the work.</param>
    public ScalingForecast Of(Plan plan, IProgress<double>? progress, CancellationToken cancellation)
    {
        (Plan Plan, ScalingForecast Scaling)? night;
        lock (_lock)
        {
            night = _night;
        }

        if (plan.SharedNight is null)
        {
            (_others, _night) = ([], null);
            return OwnOf(plan, progress, cancellation).Scaling;
        }

        if (night is { } kept && Planner.ScalesAlike(kept.Plan, plan))
            return kept.Scaling;
        (ScalingForecast own, int taken) = OwnOf(plan with { SharedNight = null }, progress, cancellation);
        (Plan Plan, ScalingForecast Scaling)[] others = [.. plan.SharedNight.Others.Select(job => (job.Plan, OtherOf(job.Plan, cancellation)))];
        var scaling = new NightScaling(own, plan.MeasuredOn.RelativeCoreSpeed, plan.SharedNight, [.. others.Select(job => job.Scaling)], Seed);
        _others = others;
        lock (_lock)
        {
            if (taken == _taken)
                _night = (plan, scaling);
        }

        return scaling;
    }

    private ScalingForecast OtherOf(Plan plan, CancellationToken cancellation)
    {
        foreach ((Plan known, ScalingForecast scaling) in _others)
        {
            if (Planner.ScalesAlike(known, plan))
                return scaling;
        }

        return Planner.Scale(plan, Seed, cancellation: cancellation);
    }

    /// <summary>The same, coarser and sooner: from a fifth of the curves.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="cancellation">Stops the work.</param>
    /// <returns>Null where the whole is known already, where nothing is fitted, and for a night, whose jobs are not all fitted anew.</returns>
    public ScalingForecast? CoarseOf(Plan plan, CancellationToken cancellation)
    {
        if (plan.SharedNight is not null || !plan.HasCurve)
            return null;
        IReadOnlyList<SimulatedPool>? simulated;
        lock (_lock)
        {
            if (KnownOf(plan) is not null)
                return null;
            simulated = SimulatedOf(plan);
        }

        return Planner.Scale(plan, Seed, simulated: simulated, draws: CoarseDraws, cancellation: cancellation);
    }

    private (ScalingForecast Scaling, int Taken) OwnOf(Plan plan, IProgress<double>? progress, CancellationToken cancellation)
    {
        IReadOnlyList<SimulatedPool>? simulated;
        int taken;
        lock (_lock)
        {
            if (KnownOf(plan) is { } known)
                return (known, _taken);
            taken = _taken;
            simulated = SimulatedOf(plan);
        }

        ScalingForecast scaling = Planner.Scale(plan, Seed, progress, simulated, cancellation: cancellation);
        lock (_lock)
        {
            // Where runs have come in meanwhile, the next answer, which is on its way, takes them.
            if (taken == _taken)
                _own = (plan, scaling);
        }

        return (scaling, taken);
    }

    private ScalingForecast? KnownOf(Plan plan) => _own is { } kept && Planner.ScalesAlike(kept.Plan, plan) ? kept.Scaling : null;

    private IReadOnlyList<SimulatedPool>? SimulatedOf(Plan plan) =>
        plan.Graph is { } job ? _simulatedGraph?.Job == job ? _simulatedGraph?.Pools : null
        : plan.Structure is { } structure && _simulated?.Structure.Phases.SequenceEqual(structure.Phases) == true ? _simulated?.Pools
        : null;
}
