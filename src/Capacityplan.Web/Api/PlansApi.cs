using System.Text;
using System.Text.Json;
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
    private const string Route = "/api/v1/plans";

    private const string What = "plan";

    /// <summary>Saved with every change, a plan must stay small; large graphs and samples are files of their own.</summary>
    private const int MostBytes = 2_000_000;

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
        RouteGroupBuilder group = routes.MapGroup(Route).WithTags("Plans").DisableAntiforgery();
        group.MapGet("", ListAsync).WithName("listPlans").ProducesRefusals(StatusCodes.Status422UnprocessableEntity);
        group.MapGet("{id:guid}", GetAsync).WithName("getPlan")
            .Produces<PlanDraft>().Produces(StatusCodes.Status304NotModified)
            .ProducesRefusals(StatusCodes.Status404NotFound, StatusCodes.Status409Conflict);
        group.MapPut("{id:guid}", PutAsync).WithName("putPlan")
            .WithRequestExample(RequestExample).Accepts<PlanDraft>("application/json").ProducesRequestProblems()
            .ProducesRefusals(StatusCodes.Status409Conflict, StatusCodes.Status412PreconditionFailed, StatusCodes.Status428PreconditionRequired);
        group.MapDelete("{id:guid}", DeleteAsync).WithName("deletePlan")
            .ProducesRefusals(StatusCodes.Status404NotFound, StatusCodes.Status412PreconditionFailed, StatusCodes.Status428PreconditionRequired);
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
    internal static async Task<Results<JsonHttpResult<PlanDraft>, StatusCodeHttpResult, ProblemHttpResult>> GetAsync(Guid id, HttpContext context, PlanStore plans)
    {
        if (await plans.FindAsync(id, context.RequestAborted) is not { } stored)
            return Precondition.NotThere(What);
        if (stored.Draft is not { } draft)
            return RequestProblem.Of(StatusCodes.Status409Conflict, $"The plan {stored.Name} cannot be read: {stored.Unreadable?.Why} Its text is kept; open it on the page of plans.");
        context.Response.Headers.ETag = Precondition.TagOf(stored.Version);
        return Precondition.IsKnown(context.Request, stored.Version)
            ? TypedResults.StatusCode(StatusCodes.Status304NotModified)
            : TypedResults.Json(draft, StoredJson.Options);
    }

    /// <summary>Saves a plan.</summary>
    /// <remarks>Over the version named by If-Match, never over a later one (412); under a new key with If-None-Match: *. Without
    /// either, 428. A blank that is not given takes its default, a field this API does not know is refused. Its answer is worked
    /// out when the plan is next opened. At most 2 MB.</remarks>
    /// <param name="id">The plan's key; of a new one, any that is not taken.</param>
    /// <param name="context">The request and its answer.</param>
    /// <param name="plans">The plans.</param>
    internal static async Task<Results<Ok<SavedAnswer>, Created<SavedAnswer>, ProblemHttpResult>> PutAsync(Guid id, HttpContext context, PlanStore plans)
    {
        CancellationToken cancellation = context.RequestAborted;
        var expected = Precondition.Of(context.Request);
        if (expected.Kind == PreconditionKind.Missing)
            return Precondition.Required(mayCreate: true);
        (ReadOnlyMemory<byte> body, ProblemHttpResult? problem) = await RequestBody.ReadAsync(context.Request, cancellation);
        if (problem is not null)
            return problem;
        if (body.Length > MostBytes)
            return RequestProblem.Of(StatusCodes.Status413PayloadTooLarge, FormattableString.Invariant($"The plan is larger than 2 MB ({MostBytes:#,0} bytes); nothing of it was used."));
        (PlanDraft? draft, problem) = Read(body.Span);
        if (draft is null)
            return problem!;

        StoredPlan? current = await plans.FindAsync(id, cancellation);
        if (expected.Kind == PreconditionKind.IsNew)
        {
            if (current is not null || await plans.TryCreateAsync(id, draft, cancellation) is not { } created)
                return Precondition.Taken(context.Response, (current ?? await plans.FindAsync(id, cancellation))?.Version, What);
            return TypedResults.Created($"{Route}/{id}", Saved(context.Response, id, created.Version));
        }

        int version = expected.Kind == PreconditionKind.IsThere ? current?.Version ?? 0 : expected.Version;
        SaveResult<StoredPlan> saved = await plans.SaveAsync(id, draft, version, answer: null, cancellation);
        return saved is { State: SaveState.Saved, Current: { } now }
            ? TypedResults.Ok(Saved(context.Response, id, now.Version))
            : Precondition.Failed(context.Response, saved.Current?.Version, What);
    }

    /// <summary>Deletes a plan.</summary>
    /// <remarks>The version named by If-Match, never a later one (412); without the header, 428. It can be put back on the page for
    /// 30 days.</remarks>
    /// <param name="id">The plan's key.</param>
    /// <param name="context">The request and its answer.</param>
    /// <param name="plans">The plans.</param>
    internal static async Task<Results<NoContent, ProblemHttpResult>> DeleteAsync(Guid id, HttpContext context, PlanStore plans)
    {
        var expected = Precondition.Of(context.Request);
        if (expected.Kind is PreconditionKind.Missing or PreconditionKind.IsNew)
            return Precondition.Required(mayCreate: false);
        if (await plans.FindAsync(id, context.RequestAborted) is not { } current)
            return Precondition.NotThere(What);
        int version = expected.Kind == PreconditionKind.IsThere ? current.Version : expected.Version;
        return await plans.DeleteAsync(id, version, context.RequestAborted) switch
        {
            SaveState.Saved => TypedResults.NoContent(),
            SaveState.Gone => Precondition.NotThere(What),
            _ => Precondition.Failed(context.Response, (await plans.FindAsync(id, context.RequestAborted))?.Version, What),
        };
    }

    private static SavedAnswer Saved(HttpResponse response, Guid id, int version)
    {
        response.Headers.ETag = Precondition.TagOf(version);
        return new SavedAnswer(id, Precondition.TagOf(version), []);
    }

    /// <summary>Reads a draft as strictly as a stored one: a field that is not known would be lost without a word.</summary>
    private static (PlanDraft? Draft, ProblemHttpResult? Problem) Read(ReadOnlySpan<byte> body)
    {
        var findings = new RequestFindings();
        if (body.StartsWith("\uFEFF"u8))
            body = body[3..];
        try
        {
            if (JsonSerializer.Deserialize<PlanDraft>(body, StoredJson.Options) is { } draft)
                return (draft, null);
            findings.Error(null, "The body is null; a plan is an object.");
        }
        catch (JsonException wrong)
        {
            (int line, int column) = PlaceOf(body, wrong);
            string? path = wrong.Path is { Length: > 2 } within ? within[2..] : null;
            if (IsJson(body))
                findings.Error(path, $"It is not known to a plan, or holds something else than text: {Short(wrong.Message)}", line, column);
            else
                findings.Malformed(path, line, column, $"This is not JSON: {Short(wrong.Message)}");
        }
        catch (Exception wrong) when (wrong is ArgumentException or NotSupportedException)
        {
            findings.Error(null, wrong.Message);
        }

        return (null, RequestProblem.Of(findings));
    }

    private static bool IsJson(ReadOnlySpan<byte> body)
    {
        try
        {
            var reader = new Utf8JsonReader(body);
            while (reader.Read())
            {
            }

            return true;
        }
        catch (JsonException)
        {
            return false;
        }
    }

    private static (int Line, int Column) PlaceOf(ReadOnlySpan<byte> body, JsonException wrong)
    {
        int line = (int)(wrong.LineNumber ?? 0), start = 0;
        for (int passed = 0; passed < line; passed++)
            start += body[start..].IndexOf((byte)'\n') + 1;
        int length = (int)Math.Min(wrong.BytePositionInLine ?? 0, body.Length - start);
        return (line + 1, Encoding.UTF8.GetCharCount(body.Slice(start, length)) + 1);
    }

    /// <summary>The message without the place, which stands beside it.</summary>
    private static string Short(string message) =>
        message.IndexOf(" Path: ", StringComparison.Ordinal) is > 0 and var at ? message[..at] : message.IndexOf(" LineNumber: ", StringComparison.Ordinal) is > 0 and var place ? message[..place] : message;
}
