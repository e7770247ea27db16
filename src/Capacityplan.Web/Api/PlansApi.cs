using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;

namespace Capacityplan.Web.Api;

/// <summary>A plan in the list.</summary>
/// <param name="Id">Its key, the last part of its address.</param>
/// <param name="Etag">Its entity tag, for If-Match.</param>
/// <param name="Name">Its name; may be empty.</param>
/// <param name="Owner">Its owner; may be empty.</param>
/// <param name="Answer">The sentence of the answer it had when it was last worked out; null where it was not since it changed.</param>
/// <param name="IsReadable">False where what is stored cannot be read.</param>
/// <param name="UpdatedAt">When it was last saved.</param>
public sealed record PlanEntry(Guid Id, string Etag, string Name, string Owner, string? Answer, bool IsReadable, DateTimeOffset UpdatedAt);

/// <summary>The plans in the HTTP API: what was typed, text by text.</summary>
public static class PlansApi
{
    /// <summary>The address of the plans.</summary>
    internal const string Route = "/api/v1/plans";

    private const string RequestExample =
        """
        {
          "name": "night tiles", "owner": "Mara",
          "timingsText": "cores seconds\n1 812\n4 231.5\n8 140",
          "startsAt": "22:00", "doneBy": "06:00"
        }
        """;

    /// <summary>Maps <c>/api/v1/plans</c>.</summary>
    public static IEndpointRouteBuilder MapPlansApi(this IEndpointRouteBuilder routes)
    {
        routes.MapVersioned<PlanDraft>(Route, "Plan", RequestExample, ListAsync, GetAsync, PutAsync, DeleteAsync);
        return routes;
    }

    /// <summary>Lists the plans.</summary>
    /// <remarks>Last changed first, in parts, each with the sentence of its answer.</remarks>
    /// <param name="paging">Which part.</param>
    /// <param name="plans">The plans.</param>
    /// <param name="find">A part of the name or the owner.</param>
    /// <param name="cancellation">Ends the work when the caller goes away.</param>
    internal static async Task<Results<Ok<PageAnswer<PlanEntry>>, ProblemHttpResult>> ListAsync(
        [AsParameters] Paging paging, PlanStore plans, [FromQuery] string? find = null, CancellationToken cancellation = default)
    {
        (PageAnswer<PlanEntry>? page, ProblemHttpResult? problem) = paging.Of(
            await plans.ListAsync(find, cancellation),
            stored => new PlanEntry(stored.Id, Precondition.TagOf(stored.Version), stored.Name, stored.Owner, stored.LastAnswer?.Sentence, stored.IsReadable, stored.UpdatedAt));
        return page is null ? problem! : TypedResults.Ok(page);
    }

    /// <summary>Gets a plan.</summary>
    /// <remarks>Every blank as it was typed, in the shape it is put in; its version is in the header ETag. With If-None-Match and
    /// that tag, 304 says that it is still the same.</remarks>
    /// <param name="id">The plan's key.</param>
    /// <param name="context">The request and its answer.</param>
    /// <param name="plans">The plans.</param>
    internal static Task<Results<FileContentHttpResult, StatusCodeHttpResult, ProblemHttpResult>> GetAsync(Guid id, HttpContext context, PlanStore plans) =>
        new PlanResource(plans).GetAsync(id, context);

    /// <summary>Saves a plan.</summary>
    /// <remarks>Over the version named by If-Match, never over a later one (412); under a new key with If-None-Match: *. Without
    /// either, 428. A blank that is not given takes its default, a field this API does not know is refused. A text that is not understood
    /// yet is not lost by the way: with If-Match: * it is not replaced (412), and its field has to be sent, if only empty (409). The answer
    /// is worked out when the plan is next opened. At most 2 MB.</remarks>
    /// <param name="id">The plan's key; of a new one, any that is not taken.</param>
    /// <param name="context">The request and its answer.</param>
    /// <param name="plans">The plans.</param>
    internal static Task<Results<Ok<SavedAnswer>, Created<SavedAnswer>, ProblemHttpResult>> PutAsync(Guid id, HttpContext context, PlanStore plans) =>
        new PlanResource(plans).PutAsync(id, context);

    /// <summary>Deletes a plan.</summary>
    /// <remarks>The version named by If-Match, never a later one (412); without the header, 428. It can be put back on the page for
    /// 30 days.</remarks>
    /// <param name="id">The plan's key.</param>
    /// <param name="context">The request and its answer.</param>
    /// <param name="plans">The plans.</param>
    internal static Task<Results<NoContent, ProblemHttpResult>> DeleteAsync(Guid id, HttpContext context, PlanStore plans) =>
        new PlanResource(plans).DeleteAsync(id, context);
}
