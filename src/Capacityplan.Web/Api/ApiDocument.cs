using Microsoft.AspNetCore.OpenApi;
using Microsoft.OpenApi;

namespace Capacityplan.Web.Api;

/// <summary>The OpenAPI document of the HTTP API.</summary>
internal static class ApiDocument
{
    private const string ProblemMediaType = "application/problem+json";

    public static void Describe(OpenApiOptions options)
    {
        options.OpenApiVersion = OpenApiSpecVersion.OpenApi3_1;
        options.ShouldInclude = endpoint => endpoint.RelativePath?.StartsWith("api/", StringComparison.Ordinal) ?? false;
    }

    /// <summary>Declares the ways a request may be refused.</summary>
    public static RouteHandlerBuilder ProducesRequestProblems(this RouteHandlerBuilder endpoint) => endpoint
        .Produces<RequestProblem>(StatusCodes.Status400BadRequest, ProblemMediaType)
        .Produces<RequestProblem>(StatusCodes.Status413PayloadTooLarge, ProblemMediaType)
        .Produces<RequestProblem>(StatusCodes.Status415UnsupportedMediaType, ProblemMediaType)
        .Produces<RequestProblem>(StatusCodes.Status422UnprocessableEntity, ProblemMediaType);
}
