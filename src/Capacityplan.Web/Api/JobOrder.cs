using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>Puts a job of a request, its own or another of its night, in the calculation's terms.</summary>
internal static class JobOrder
{
    /// <summary>Where the request's own job stands.</summary>
    public const string Path = "job";

    /// <summary>Checks a job as a whole and puts it in the calculation's terms.</summary>
    /// <param name="job">The job.</param>
    /// <param name="path">Where it stands in the request.</param>
    /// <param name="findings">Holds what was wrong with single fields, receives the rest.</param>
    /// <returns>The plan; null where <paramref name="findings"/> holds an error about it.</returns>
    public static Plan? PlanOf(JobRequest job, string path, RequestFindings findings)
    {
        ImmutableArray<Timing> timings = JobTimings.Of(job, path, findings);
        PlanOrder.CheckJob(job, path, findings);
        JobStructure? structure = job.Structure is { } phases ? PhaseOrder.StructureOf(phases, path + ".structure", findings) : null;
        GraphJob? graph = job.Graph is { } tasks ? GraphText.JobOf(tasks, path + ".graph", findings) : null;
        Nights nights = ChangeOrder.NightsOf(job, path, findings);
        SharedNight? night = job.Night is { } shared ? NightOrder.Of(shared, job.Name, findings) : null;
        return findings.IsFull || findings.Concern(path) ? null : PlanOrder.PlanOf(job, timings, structure, graph) with { Nights = nights, SharedNight = night };
    }
}
