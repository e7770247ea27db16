using System.Collections.Immutable;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;
using Capacityplan.Web.Plans;

namespace Capacityplan.Web.Api;

/// <summary>What a request for a simulation asks for, in the calculation's terms.</summary>
/// <param name="Job">The job.</param>
/// <param name="Pools">The pools, in the order wanted.</param>
/// <param name="Settings">How often and from which seed.</param>
internal sealed record SimulationOrder(JobStructure Job, ImmutableArray<WorkerPool> Pools, SimulationSettings Settings)
{
    /// <summary>The largest pool.</summary>
    public const int MostCores = 4_096;

    /// <summary>The most steps of one request, by <see cref="SimulationEffort"/>: up to half a minute of one core.</summary>
    public const double MostSteps = 1e9;

    private const string PhasePath = "phase";

    /// <summary>Checks a request as a whole and puts it in the calculation's terms.</summary>
    /// <param name="request">The request as read; null where nothing was.</param>
    /// <param name="findings">Holds what was wrong with single fields, receives the rest.</param>
    /// <returns>The order; null where <paramref name="findings"/> holds an error.</returns>
    public static SimulationOrder? From(SimulationRequest? request, RequestFindings findings)
    {
        if (request is null || findings.IsMalformed || findings.IsFull)
            return null;
        JobStructure? job = request.Phase is { } phase ? PhaseOrder.ParallelJobOf(phase, PhasePath, findings) : null;
        if (findings.Errors.Count > 0 || job is null)
            return null;

        var usual = new SimulationSettings();
        var settings = new SimulationSettings
        {
            Replicates = request.Replicates ?? usual.Replicates,
            Seed = request.Seed ?? usual.Seed,
            Threads = SimulationTurns.Threads,
        };
        ImmutableArray<WorkerPool> pools = [.. request.Cores!.Select(cores => new WorkerPool(cores))];
        double steps = SimulationEffort.Steps(job, pools, settings.Replicates);
        if (steps > MostSteps)
        {
            findings.Error(
                PhasePath,
                FormattableString.Invariant($"This would take about {steps:0.#e+0} steps; {MostSteps:0.#e+0} are the most. Ask for fewer replicates, cores or units."));
            return null;
        }

        return new SimulationOrder(job, pools, settings);
    }
}
