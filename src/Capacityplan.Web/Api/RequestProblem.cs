using System.Text.Json.Serialization;
using Capacityplan.Core;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;

namespace Capacityplan.Web.Api;

/// <summary>Why a request got no answer: problem details (RFC 9457) with everything that is wrong and where.</summary>
public sealed class RequestProblem : ProblemDetails
{
    /// <summary>Everything that is wrong, at most 1,000 errors, after which the request is not looked through further; then what
    /// would have been left out, which is often the cause.</summary>
    [JsonPropertyName("errors")]
    public required IReadOnlyList<RequestError> Errors { get; init; }

    /// <summary>The answer to a request that cannot be used as a whole.</summary>
    internal static ProblemHttpResult Of(int status, string message) =>
        TypedResults.Problem(new RequestProblem { Status = status, Detail = message, Errors = [new RequestError(null, null, null, message)] });

    /// <summary>The answer to what is asked of an address in another way than by POST of JSON.</summary>
    internal static ProblemHttpResult OfOtherMethod(HttpRequest request, string message)
    {
        if (HttpMethods.IsPost(request.Method))
            return RequestBody.NotJson();
        request.HttpContext.Response.Headers.Allow = HttpMethods.Post;
        return Of(StatusCodes.Status405MethodNotAllowed, message);
    }

    /// <summary>The answer to a request with errors in it.</summary>
    internal static ProblemHttpResult Of(RequestFindings findings) => TypedResults.Problem(new RequestProblem
    {
        Status = findings.IsMalformed ? StatusCodes.Status400BadRequest : StatusCodes.Status422UnprocessableEntity,
        Detail = Summary(findings),
        // What would have been left out is often the cause: a field misspelt, a line of the text that was not understood.
        Errors = [.. findings.Errors, .. LeftOut(findings)],
    });

    private static IEnumerable<RequestError> LeftOut(RequestFindings findings) =>
        findings.IsMalformed ? []
        : findings.Problems.Where(problem => problem.Severity == ProblemSeverity.Warning)
            .Select(problem => new RequestError(problem.Path, problem.Line, problem.Column, problem.Message));

    private static string Summary(RequestFindings findings) => findings switch
    {
        { IsFull: true } => FormattableString.Invariant(
            $"The first {RequestFindings.MostErrors:#,0} errors are listed; the request was not looked through further."),
        { Errors: [{ } only] } => only.Message,
        _ => FormattableString.Invariant($"{findings.Errors.Count:#,0} things have to be put right; errors lists them."),
    };
}
