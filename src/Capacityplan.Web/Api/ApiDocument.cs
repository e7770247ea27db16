using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Capacityplan.Core.Fitting;
using Microsoft.AspNetCore.OpenApi;
using Microsoft.OpenApi;

namespace Capacityplan.Web.Api;

/// <summary>
/// The OpenAPI document of the HTTP API. Descriptions come from the XML comments, limits and defaults from the attributes
/// that requests are checked by; this adds what neither can say.
/// </summary>
internal static partial class ApiDocument
{
    private const string ProblemMediaType = "application/problem+json";

    private const string About =
        """
        The same calculation as the pages, for scripts and continuous integration.

        Units are in the names: seconds, GiB, GB/s; costs are in the currency beside them. Numbers are JSON numbers, never texts.
        A field that is null is a field not given, and takes its default.

        A request is answered in full or refused in full. One that cannot be used gets problem details (RFC 9457) whose `errors`
        list everything that is wrong with path, line and column: 400 where the body is not JSON, 413 where it is larger than
        32 MB (33,554,432 bytes; a task graph sent as a file 256 MB), 415 where it is not sent as JSON, 422 where it is understood but impossible. A field this API
        does not know is left out and named in `problems`; what else is left out or doubted is named there too.

        Catalogues and plans are changed by PUT and DELETE with If-Match and the ETag they were got with, so that two who change one
        cannot undo each other unseen: 412 where it has another version by now, 428 where the header is missing.

        The same request and seed give the same answer, byte for byte.

        Forecasts are estimates, worse the further past the measured core counts they go. Prices are what was sent or saved:
        check the provider's current list and contract before buying.
        """;

    private static readonly Dictionary<string, string> s_problemMembers = new(StringComparer.Ordinal)
    {
        ["type"] = "A reference to what the status means.",
        ["title"] = "The status in words.",
        ["status"] = "The HTTP status.",
        ["detail"] = "What is wrong, in short.",
        ["instance"] = "Not used.",
    };

    private static readonly Dictionary<string, string> s_statuses = new(StringComparer.Ordinal)
    {
        ["400"] = "The body is not JSON. The one error has the line and column in the body.",
        ["413"] = "The body is larger than 32 MB (33,554,432 bytes).",
        ["415"] = "The body is not sent as application/json in UTF-8.",
        ["422"] = "The request is understood but impossible. Every error has the path of its field; those of job.timingsText have line and column in that text.",
    };

    private static readonly Dictionary<string, string> s_statusesOfStored = new(StringComparer.Ordinal)
    {
        ["201"] = "It is stored under the new key; its tag is in ETag.",
        ["204"] = "It is deleted.",
        ["304"] = "It is still as the tag says.",
        ["404"] = "There is none of this key, or it was deleted.",
        ["409"] = "It is stored and cannot be read; or the key is that of a deleted one that can still be put back.",
        ["412"] = "It has another version by now, whose tag is in ETag, or is not there; nothing was changed.",
        ["428"] = "Neither If-Match nor If-None-Match says what is changed; nothing was changed.",
    };

    private static readonly Dictionary<string, string> s_statusesOfFiles = new(StringComparer.Ordinal)
    {
        ["400"] = "The file begins as JSON and is none, or breaks off. The one error has the line and column in it.",
        ["413"] = "The file is larger than 256 MB (268,435,456 bytes).",
        ["415"] = "The file is not sent as text/csv, text/plain or application/json in UTF-8.",
        ["422"] = "The file is no task graph, or the query is impossible. Errors have line and column in the file, or the name of the parameter.",
    };

    /// <summary>What an operation answers, by its name.</summary>
    private static readonly Dictionary<string, string> s_answers = new(StringComparer.Ordinal)
    {
        ["forecast"] = "The forecast, the machines priced for the job, the verdict, and whatever else was asked for.",
        [TaskGraphsApi.OperationName] = "Work, span and critical path of the graph, and its schedules.",
        ["listCatalogues"] = "A part of the list.",
        ["getCatalogue"] = "The catalogue; its tag is in ETag.",
        ["putCatalogue"] = "It is saved; its tag is in ETag.",
        ["listPlans"] = "A part of the list.",
        ["getPlan"] = "The plan as it was typed; its tag is in ETag.",
        ["putPlan"] = "It is saved; its tag is in ETag.",
        ["simulate"] = "What the simulated runs come to, for each pool asked for.",
    };

    /// <summary>Sets the document up.</summary>
    public static void Describe(OpenApiOptions options)
    {
        options.OpenApiVersion = OpenApiSpecVersion.OpenApi3_1;
        options.ShouldInclude = endpoint => endpoint.RelativePath?.StartsWith("api/", StringComparison.Ordinal) ?? false;
        options.AddDocumentTransformer((document, _, _) =>
        {
            document.Info = new OpenApiInfo { Title = "Capacityplan", Version = "1", Description = About };
            foreach ((string name, IOpenApiSchema schema) in document.Components?.Schemas ?? new Dictionary<string, IOpenApiSchema>())
                Finish(name, schema);
            return Task.CompletedTask;
        });
        options.AddOperationTransformer((operation, _, _) =>
        {
            foreach ((string status, IOpenApiResponse response) in operation.Responses ?? [])
            {
                response.Description = (operation.OperationId == TaskGraphsApi.OperationName ? s_statusesOfFiles : s_statuses).GetValueOrDefault(status)
                    ?? s_statusesOfStored.GetValueOrDefault(status)
                    ?? s_answers.GetValueOrDefault(operation.OperationId ?? "", response.Description ?? "");
            }

            if (operation.RequestBody is { } body)
            {
                body.Description = operation.OperationId == TaskGraphsApi.OperationName
                    ? "The file itself, in UTF-8; at most 256 MB (268,435,456 bytes)."
                    : "At most 32 MB (33,554,432 bytes).";
            }

            return Task.CompletedTask;
        });
    }

    /// <summary>Declares the ways a request may be refused.</summary>
    public static RouteHandlerBuilder ProducesRequestProblems(this RouteHandlerBuilder endpoint) => endpoint
        .Produces<RequestProblem>(StatusCodes.Status400BadRequest, ProblemMediaType)
        .Produces<RequestProblem>(StatusCodes.Status413PayloadTooLarge, ProblemMediaType)
        .Produces<RequestProblem>(StatusCodes.Status415UnsupportedMediaType, ProblemMediaType)
        .Produces<RequestProblem>(StatusCodes.Status422UnprocessableEntity, ProblemMediaType);

    /// <summary>Declares further statuses that are answered with problem details.</summary>
    public static RouteHandlerBuilder ProducesRefusals(this RouteHandlerBuilder endpoint, params int[] statuses)
    {
        foreach (int status in statuses)
            endpoint.Produces<RequestProblem>(status, ProblemMediaType);
        return endpoint;
    }

    /// <summary>Gives the operation's request an example.</summary>
    public static RouteHandlerBuilder WithRequestExample(this RouteHandlerBuilder endpoint, string json) =>
        endpoint.AddOpenApiOperationTransformer((operation, _, _) =>
        {
            foreach (OpenApiMediaType body in operation.RequestBody?.Content?.Values ?? [])
                body.Example = JsonNode.Parse(json);
            return Task.CompletedTask;
        });

    private static void Finish(string name, IOpenApiSchema schema)
    {
        if (schema is not OpenApiSchema { Properties: { } fields } shape)
            return;
        shape.Description = OneLine(shape.Description);
        // A value type has no constructor that has to be called, so its fields look optional.
        if (name == nameof(Band))
            shape.Required = new HashSet<string>(fields.Keys, StringComparer.Ordinal);
        foreach ((string field, IOpenApiSchema described) in fields.ToArray())
        {
            OpenApiSchemaReference? reference = described.OneOf?.OfType<OpenApiSchemaReference>().FirstOrDefault();
            string? description = OneLine(
                name == nameof(RequestProblem) ? s_problemMembers.GetValueOrDefault(field, described.Description ?? "")
                : described.Description ?? reference?.Description);
            // Null stands for "not given" where a field may be left out; one that has to be given may not be null.
            if (shape.Required?.Contains(field) == true && name.EndsWith("Request", StringComparison.Ordinal))
                fields[field] = NotNull(described, reference);
            fields[field].Description = description;
            // The range of a list is that of its items.
            if (described is OpenApiSchema { Items: OpenApiSchema items } list)
                (items.Minimum, items.Maximum, list.Minimum, list.Maximum) = (list.Minimum, list.Maximum, null, null);
        }
    }

    private static IOpenApiSchema NotNull(IOpenApiSchema schema, OpenApiSchemaReference? reference)
    {
        if (reference is not null)
            return reference;
        if (schema is OpenApiSchema { Type: { } type } own)
            own.Type = type & ~JsonSchemaType.Null;
        return schema;
    }

    private static string? OneLine(string? text) => text is null ? null : LineBreak().Replace(text, " ");

    [GeneratedRegex(@"\s*\n\s*")]
    private static partial Regex LineBreak();
}
