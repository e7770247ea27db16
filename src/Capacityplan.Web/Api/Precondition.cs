using System.Globalization;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.Extensions.Primitives;
using Microsoft.Net.Http.Headers;

namespace Capacityplan.Web.Api;

/// <summary>What a request says of the state it expects a resource in.</summary>
internal enum PreconditionKind
{
    /// <summary>Nothing; a change is refused then, so that nobody overwrites unseen.</summary>
    Missing,

    /// <summary>It is not there yet: If-None-Match: *.</summary>
    IsNew,

    /// <summary>It is there, in whatever version: If-Match: *.</summary>
    IsThere,

    /// <summary>It is in one of the versions named: If-Match.</summary>
    IsVersion,
}

/// <summary>The precondition of a change (RFC 9110, section 13), by which two who change one thing cannot undo each other unseen.</summary>
/// <param name="Kind">What is expected.</param>
/// <param name="Version">The version expected; 0 for one this server never gives.</param>
internal readonly record struct Precondition(PreconditionKind Kind, int Version)
{
    /// <summary>The entity tag of a version.</summary>
    public static string TagOf(int version) => string.Create(CultureInfo.InvariantCulture, $"\"{version}\"");

    /// <summary>The precondition of a request.</summary>
    public static Precondition Of(HttpRequest request)
    {
        if (!StringValues.IsNullOrEmpty(request.Headers.IfMatch))
        {
            IList<EntityTagHeaderValue> tags = request.GetTypedHeaders().IfMatch;
            if (tags is [var any] && any.Equals(EntityTagHeaderValue.Any))
                return new(PreconditionKind.IsThere, 0);
            return new(PreconditionKind.IsVersion, tags is [{ IsWeak: false } one] && int.TryParse(one.Tag.AsSpan().Trim('"'), NumberStyles.None, CultureInfo.InvariantCulture, out int version) ? version : 0);
        }

        return request.GetTypedHeaders().IfNoneMatch is [var none] && none.Equals(EntityTagHeaderValue.Any) ? new(PreconditionKind.IsNew, 0) : default;
    }

    /// <summary>True where the caller has this version already.</summary>
    public static bool IsKnown(HttpRequest request, int version) =>
        request.GetTypedHeaders().IfNoneMatch.Any(tag => tag.Tag == TagOf(version));

    /// <summary>The answer to a change without a precondition.</summary>
    /// <param name="mayCreate">True where the change may create the resource.</param>
    public static ProblemHttpResult Required(bool mayCreate) => RequestProblem.Of(
        StatusCodes.Status428PreconditionRequired,
        "Say which version this changes: send the ETag of the last GET as If-Match." + (mayCreate ? " To create a new one, send If-None-Match: *." : ""));

    /// <summary>The answer to a change of something that has changed since.</summary>
    /// <param name="response">Gets the tag of the version there is; null where there is none.</param>
    /// <param name="current">The version there is; null for none.</param>
    /// <param name="what">What it is, such as "catalogue".</param>
    public static ProblemHttpResult Failed(HttpResponse response, int? current, string what)
    {
        if (current is { } version)
            response.Headers.ETag = TagOf(version);
        return RequestProblem.Of(StatusCodes.Status412PreconditionFailed, current is null
            ? $"There is no {what} of this key. To create it, send If-None-Match: *."
            : $"The {what} has another version by now; nothing was changed. Get it again, make the change to that, and send its ETag as If-Match.");
    }

    /// <summary>The answer to creating what is there already.</summary>
    public static ProblemHttpResult Taken(HttpResponse response, int? current, string what)
    {
        if (current is not { } version)
            return RequestProblem.Of(StatusCodes.Status409Conflict, $"A {what} of this key was deleted and can still be put back. Choose another key.");
        response.Headers.ETag = TagOf(version);
        return RequestProblem.Of(StatusCodes.Status412PreconditionFailed, $"There is a {what} of this key already; nothing was changed. To change it, send its ETag as If-Match.");
    }

    /// <summary>The answer to asking for what is not there.</summary>
    public static ProblemHttpResult NotThere(string what) => RequestProblem.Of(StatusCodes.Status404NotFound, $"There is no {what} of this key; it may have been deleted.");
}
