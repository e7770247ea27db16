using System.Collections.Immutable;
using Capacityplan.Core;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;
using Capacityplan.Storage;
using Capacityplan.Web.Plans;
using Microsoft.AspNetCore.Http.HttpResults;

namespace Capacityplan.Web.Api;

/// <summary>The forecasts of the HTTP API.</summary>
public static class ForecastsApi
{
    private const string Route = "/api/v1/forecasts";

    private const string MachinesPath = "machines";

    private const string RequestExample =
        """
        {
          "job": {
            "timings": [ { "cores": 1, "seconds": 812.0 }, { "cores": 4, "seconds": 231.5 } ],
            "window": { "seconds": 600, "targetChance": 0.95 }
          },
          "machines": [
            {
              "name": "Heron-16", "hardwareThreads": 16, "physicalCores": 8, "relativeCoreSpeed": 1.22, "memoryGiB": 64, "startUpSeconds": 45,
              "purchase": [ { "kind": "metered", "pricePerHour": 1.50, "currency": "EUR", "minimumSeconds": 60 } ]
            }
          ]
        }
        """;

    /// <summary>Maps <c>POST /api/v1/forecasts</c>.</summary>
    public static IEndpointRouteBuilder MapForecastsApi(this IEndpointRouteBuilder routes)
    {
        routes.MapPost(Route, ForecastAsync)
            .WithName("forecast")
            .WithTags("Forecasts")
            .WithRequestExample(RequestExample)
            .Accepts<ForecastRequest>("application/json")
            .ProducesRequestProblems()
            .DisableAntiforgery();
        routes.Map(Route, (HttpRequest request) => RequestProblem.OfOtherMethod(request, "A forecast is asked for by POST.")).ExcludeFromDescription();
        return routes;
    }

    /// <summary>Forecasts a job and prices machines for it.</summary>
    /// <remarks>Fits the job's run time against cores, forecasts it at the core counts asked for, prices every machine, and
    /// names the cheapest whose chance of ending inside the window reaches the target. Where other jobs share its night, the machine
    /// is for all of them. What-ifs, growth and what the answer rests on are worked out where they are asked for.</remarks>
    /// <param name="request">The request.</param>
    /// <param name="catalogues">Holds the saved default catalogue.</param>
    /// <param name="turns">Whose turn it is to simulate.</param>
    /// <param name="memory">What has been simulated already.</param>
    /// <param name="cancellation">Ends the work when the caller goes away.</param>
    internal static async Task<Results<Ok<ForecastAnswer>, ProblemHttpResult>> ForecastAsync(
        HttpRequest request, CatalogueStore catalogues, SimulationTurns turns, SimulationMemory memory, CancellationToken cancellation)
    {
        (ReadOnlyMemory<byte> body, ProblemHttpResult? problem) = await RequestBody.ReadAsync(request, cancellation);
        if (problem is not null)
            return problem;

        var findings = new RequestFindings();
        if (PlanOrder.From(ShapeReader.Read<ForecastRequest>(body.Span, findings), findings) is not { } order)
            return RequestProblem.Of(findings);

        Catalogue catalogue = order.Machines is { } machines
            ? Given(machines, findings)
            : Saved(await catalogues.GetDefaultAsync(cancellation), findings);
        catalogue = catalogue with { Rates = [.. catalogue.Rates, .. order.Rates] };
        if (order.Plan.Bounds is { } bounds)
        {
            string path = order.TimingsAreText ? JobTimings.TextPath(JobOrder.Path) : JobTimings.ArrayPath(JobOrder.Path);
            ChangeWork.LeaveOut(order, findings);
            findings.Warn(path, "One timing is a point, not a curve: it only bounds the other core counts, and no machine can be chosen. Add a run on a second core count, the larger the better.");
            return TypedResults.Ok(ForecastAnswer.Of(order.Plan, bounds, order.Settings, findings.Problems));
        }

        if (order.Plan.Window is null)
            findings.Warn("job.window", "Without a window there is no chance of meeting it and no verdict. Give the seconds within which the job must be done.");
        ScalingForecast? scaling = order.Plan.Graph is { } graph ? await SimulatedAsync(order, graph, turns, cancellation)
            : order.Plan.Structure is { } structure ? await SimulatedAsync(order, structure, turns, memory, findings, cancellation) : null;
        scaling ??= Planner.Scale(order.Plan, order.Settings.Seed, cancellation: cancellation);
        PlanResult result = Planner.Evaluate(order.Plan, catalogue, order.Settings, scaling, cancellation: cancellation);
        return TypedResults.Ok(ChangeWork.Add(order, catalogue, result, scaling, findings, cancellation));
    }

    /// <summary>The scaling of a job described by its task graph, simulated as the pages do it.</summary>
    private static async Task<ScalingForecast> SimulatedAsync(PlanOrder order, GraphJob graph, SimulationTurns turns, CancellationToken cancellation)
    {
        int seed = order.Settings.Seed;
        IReadOnlyList<SimulatedPool> simulated = await turns.TakeAsync(
            () => GraphForecastRuns.Run(graph, seed, SimulationTurns.Threads, cancellation: cancellation), cancellation);
        return Planner.Scale(order.Plan, seed, simulated: simulated, cancellation: cancellation);
    }

    /// <summary>The scaling of a job described by its phases, simulated as the pages do it.</summary>
    private static async Task<ScalingForecast> SimulatedAsync(
        PlanOrder order, JobStructure structure, SimulationTurns turns, SimulationMemory memory, RequestFindings findings, CancellationToken cancellation)
    {
        int seed = order.Settings.Seed;
        if (StructureSimulation.Steps(structure) > SimulationOrder.MostSteps)
        {
            findings.Add(new Problem(
                ProblemSeverity.Note, "Simulating these phases would take too long for a request: the forecast rests on the closed form of their run time instead.", Path: "job.structure"));
            return Planner.Scale(order.Plan, seed, cancellation: cancellation);
        }

        IReadOnlyList<SimulatedPool>? simulated = memory.CurveOf(structure, seed);
        if (simulated is null)
        {
            simulated = await turns.TakeAsync(
                () => StructureSimulation.Run(structure, seed, SimulationTurns.Threads, cancellation: cancellation), cancellation);
            memory.Keep(structure, seed, simulated);
        }

        return Planner.Scale(order.Plan, seed, simulated: simulated, cancellation: cancellation);
    }

    private static Catalogue Given(ImmutableArray<MachineType> machines, RequestFindings findings)
    {
        if (machines.IsEmpty)
            findings.Warn(MachinesPath, "The list is empty, so there is no verdict. Give machines, or leave the field out for those of the saved default catalogue.");
        return new Catalogue { Name = "The request's", Machines = machines };
    }

    private static Catalogue Saved(StoredCatalogue? saved, RequestFindings findings)
    {
        switch (saved)
        {
            case null:
                findings.Warn(MachinesPath, "No machines are given and no catalogue is saved, so there is no verdict. Give machines, or save a catalogue.");
                break;
            case { IsReadable: false }:
                findings.Warn(MachinesPath, $"No machines are given and the saved catalogue {saved.Name} cannot be read, so there is no verdict. Give machines, or mend the catalogue.");
                break;
            case { Catalogue.PricesAreInvented: true }:
                findings.Add(new Problem(ProblemSeverity.Note, $"The machines are those of the saved catalogue {saved.Name}, whose prices are invented.", Path: MachinesPath));
                break;
        }

        return saved?.Catalogue ?? new Catalogue { Name = "None", Machines = [] };
    }
}
