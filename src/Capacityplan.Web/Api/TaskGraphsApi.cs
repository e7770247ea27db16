using System.Text.Json.Nodes;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Reading;
using Capacityplan.Core.Stealing;
using Capacityplan.Web.Plans;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.OpenApi;

namespace Capacityplan.Web.Api;

/// <summary>The task graphs of the HTTP API.</summary>
public static class TaskGraphsApi
{
    /// <summary>What the operation is called.</summary>
    internal const string OperationName = "taskGraph";

    private const string Route = "/api/v1/task-graphs";

    /// <summary>Work on a graph that takes longer is stopped.</summary>
    private static readonly TimeSpan s_longest = TimeSpan.FromMinutes(2);

    private const string RequestExample =
        """
        id,seconds,parents
        read,30,
        grid,310,read
        contour,95,read
        write,42,grid;contour
        """;

    /// <summary>Maps <c>POST /api/v1/task-graphs</c>.</summary>
    public static IEndpointRouteBuilder MapTaskGraphsApi(this IEndpointRouteBuilder routes)
    {
        routes.MapPost(Route, FollowAsync)
            .WithName(OperationName)
            .WithTags("Task graphs")
            .Accepts<string>(FileBody.MediaTypes[0], FileBody.MediaTypes[1..])
            .AddOpenApiOperationTransformer((operation, _, _) =>
            {
                Describe(operation);
                return Task.CompletedTask;
            })
            .ProducesRequestProblems()
            .DisableAntiforgery();
        routes.Map(Route, (HttpRequest request) => HttpMethods.IsPost(request.Method)
            ? FileBody.NotText()
            : RequestProblem.OfOtherMethod(request, "A task graph is sent by POST.")).ExcludeFromDescription();
        return routes;
    }

    /// <summary>Follows a task graph and schedules it.</summary>
    /// <remarks>The body is the file itself, its form told by its content: a table of id, seconds and parents, the plain text form
    /// of the Standard Task Graph Set, or a workflow trace in WfFormat JSON 1.5. Answers work, span and the critical path, and for
    /// each core count the best schedule found, a bound no schedule is shorter than, and simulated runs on a work-stealing pool. A
    /// graph with anything wrong in it is refused with line and column, since leaving a task out would make another graph of it.
    /// At most 5,000,000 tasks, 25,000,000 edges and 3e8 simulated runs of a task.</remarks>
    /// <param name="request">The request.</param>
    /// <param name="turns">Whose turn it is.</param>
    /// <param name="clock">The clock.</param>
    /// <param name="cancellation">Ends the work when the caller goes away.</param>
    internal static async Task<Results<Ok<TaskGraphAnswer>, ProblemHttpResult>> FollowAsync(
        HttpRequest request, SimulationTurns turns, TimeProvider clock, CancellationToken cancellation)
    {
        var findings = new RequestFindings();
        TaskGraphOrder order = TaskGraphOrder.From(request.Query, findings);
        // Before the body: nobody should send 256 MB to hear of a mistyped parameter.
        if (findings.Errors.Count > 0)
            return RequestProblem.Of(findings);
        (TaskGraphReading? reading, ProblemHttpResult? problem) = await FileBody.ReadGraphAsync(request, cancellation);
        if (reading is null)
            return problem!;

        GraphText.Note(reading, null, findings);
        if (reading.Graph is not { } graph || order.ReplicatesFor(graph.Count, findings) is not { } replicates)
            return RequestProblem.Of(findings);
        try
        {
            return TypedResults.Ok(await turns.TakeAsync(
                () => TaskGraphAnswer.Of(graph, order.Seed, replicates, Schedules(graph, order, replicates, clock, cancellation), findings.Problems), cancellation));
        }
        catch (OperationCanceledException) when (!cancellation.IsCancellationRequested)
        {
            findings.Error("cores", FormattableString.Invariant($"It took more than {s_longest.TotalSeconds} s and was stopped. Ask for fewer core counts or replicates."));
            return RequestProblem.Of(findings);
        }
    }

    private static (GraphOutlook Outlook, SimulatedPool Pool)[] Schedules(
        TaskGraph graph, TaskGraphOrder order, int replicates, TimeProvider clock, CancellationToken cancellation)
    {
        using var longest = new CancellationTokenSource(s_longest, clock);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(longest.Token, cancellation);
        IReadOnlyList<SimulatedPool> pools = GraphSimulation.Run(
            graph, order.Costs, [.. order.Cores.Select(cores => new WorkerPool(cores))],
            new SimulationSettings { Replicates = replicates, Seed = order.Seed, Threads = SimulationTurns.Threads }, cancellation: either.Token);
        var effort = new SchedulingEffort { Seed = order.Seed };
        return [.. pools.Select(pool => (GraphScheduling.Outlook(graph, pool.Pool.Workers, effort, either.Token), pool))];
    }

    private static void Describe(OpenApiOperation operation)
    {
        OpenApiParameter Parameter(string name, JsonSchemaType type, string description, JsonNode? usual = null, string? least = null, string? most = null) => new()
        {
            Name = name,
            In = ParameterLocation.Query,
            Description = description,
            Schema = new OpenApiSchema { Type = type, Default = usual, Minimum = least, Maximum = most },
        };
        var costs = new Core.Jobs.SchedulingCosts();
        operation.Parameters =
        [
            new OpenApiParameter
            {
                Name = "cores",
                In = ParameterLocation.Query,
                Style = ParameterStyle.Form,
                Explode = false,
                Description = "Core counts to schedule the graph on, in the order wanted, parted by commas; the default is 1, 2, 4, 8, 16, 32, 64, 128.",
                Schema = new OpenApiSchema
                {
                    Type = JsonSchemaType.Array,
                    MaxItems = TaskGraphOrder.MostCoreCounts,
                    Items = new OpenApiSchema
                    {
                        Type = JsonSchemaType.Integer,
                        Minimum = "1",
                        Maximum = SimulationOrder.MostCores.ToString(System.Globalization.CultureInfo.InvariantCulture),
                    },
                },
            },
            Parameter(
                "replicates", JsonSchemaType.Integer,
                "Runs simulated on each core count; the default is 200, fewer for graphs of more than some ten thousand tasks. The answer says how many.",
                null, "1", "100000"),
            Parameter("seed", JsonSchemaType.Integer, "Seed of everything random; the same file and seed give the same answer, byte for byte.", 1),
            Parameter("forkSeconds", JsonSchemaType.Number, "Seconds to push a task, paid once by each.", costs.ForkSeconds, "0", "1000"),
            Parameter("joinSeconds", JsonSchemaType.Number, "Seconds to report a task done, paid once by each.", costs.JoinSeconds, "0", "1000"),
            Parameter("stealAttemptSeconds", JsonSchemaType.Number, "Mean seconds between a thief's tries; above 0.", costs.StealAttemptSeconds, "0", "1000"),
            Parameter("stealSeconds", JsonSchemaType.Number, "Seconds a thief is busy with a steal that succeeded.", costs.StealSeconds, "0", "1000"),
        ];
        if (operation.RequestBody?.Content is { } content && content.TryGetValue("text/csv", out OpenApiMediaType? csv))
            csv.Example = JsonValue.Create(RequestExample);
    }
}
