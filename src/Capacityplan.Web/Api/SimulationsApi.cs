using Capacityplan.Core.Stealing;
using Capacityplan.Web.Plans;
using Microsoft.AspNetCore.Http.HttpResults;

namespace Capacityplan.Web.Api;

/// <summary>The simulations of the HTTP API.</summary>
public static class SimulationsApi
{
    private const string Route = "/api/v1/simulations";

    /// <summary>A simulation that is still at work after so long is stopped: the estimate of its effort was wrong.</summary>
    private static readonly TimeSpan s_longest = TimeSpan.FromMinutes(2);

    private const string RequestExample =
        """
        {
          "phase": {
            "name": "grid", "kind": "parallel", "units": 48000, "grain": 8,
            "unitSeconds": { "distribution": "lognormal", "mu": -1.9, "sigma": 1.1 }
          },
          "cores": [ 16, 64 ],
          "replicates": 50
        }
        """;

    /// <summary>Maps <c>POST /api/v1/simulations</c>.</summary>
    public static IEndpointRouteBuilder MapSimulationsApi(this IEndpointRouteBuilder routes)
    {
        routes.MapPost(Route, SimulateAsync)
            .WithName("simulate")
            .WithTags("Simulations")
            .WithRequestExample(RequestExample)
            .Accepts<SimulationRequest>("application/json")
            .ProducesRequestProblems()
            .DisableAntiforgery();
        routes.Map(Route, (HttpRequest request) => RequestProblem.OfOtherMethod(request, "A simulation is asked for by POST.")).ExcludeFromDescription();
        return routes;
    }

    /// <summary>Simulates a parallel phase on work-stealing pools.</summary>
    /// <remarks>Runs the phase on pools of the sizes asked for, each run with durations drawn afresh, and says what the runs take
    /// and what the workers' time goes into. What would take more than about half a minute of one core is refused: drawn units x
    /// replicates, and the steals to expect, 40 steps each, together at most 1e9 steps. Simulations of several callers take
    /// turns.</remarks>
    /// <param name="request">The request.</param>
    /// <param name="turns">Whose turn it is.</param>
    /// <param name="clock">The clock.</param>
    /// <param name="cancellation">Ends the work when the caller goes away.</param>
    internal static async Task<Results<Ok<SimulationsAnswer>, ProblemHttpResult>> SimulateAsync(
        HttpRequest request, SimulationTurns turns, TimeProvider clock, CancellationToken cancellation)
    {
        (ReadOnlyMemory<byte> body, ProblemHttpResult? problem) = await RequestBody.ReadAsync(request, cancellation);
        if (problem is not null)
            return problem;

        var findings = new RequestFindings();
        if (SimulationOrder.From(ShapeReader.Read<SimulationRequest>(body.Span, findings), findings) is not { } order)
            return RequestProblem.Of(findings);

        try
        {
            IReadOnlyList<SimulatedPool> pools = await turns.TakeAsync(() => Simulate(order, clock, cancellation), cancellation);
            return TypedResults.Ok(SimulationsAnswer.Of(order.Settings.Seed, pools, findings.Problems));
        }
        catch (OperationCanceledException) when (!cancellation.IsCancellationRequested)
        {
            findings.Error("phase", FormattableString.Invariant($"It took more than {s_longest.TotalSeconds} s and was stopped. Ask for fewer replicates, cores or units."));
            return RequestProblem.Of(findings);
        }
    }

    private static IReadOnlyList<SimulatedPool> Simulate(SimulationOrder order, TimeProvider clock, CancellationToken cancellation)
    {
        using var longest = new CancellationTokenSource(s_longest, clock);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(longest.Token, cancellation);
        return PoolSimulation.Run(order.Job, order.Pools, order.Settings, cancellation: either.Token);
    }
}
