using Capacityplan.Storage;
using Microsoft.AspNetCore.Http.HttpResults;

namespace Capacityplan.Web.Api;

/// <summary>A stored thing of one kind, as a request finds it.</summary>
/// <param name="Name">Its name, known even where it cannot be read.</param>
/// <param name="Version">Its version.</param>
/// <param name="Content">What is got and put; null where what is stored cannot be read.</param>
/// <param name="Why">Why it cannot be read; null where it can.</param>
internal sealed record StoredVersion<TContent>(string Name, int Version, TContent? Content, string? Why)
    where TContent : class;

/// <summary>
/// One kind of stored things, got, put and deleted by version (RFC 9110, sections 8.8.3 and 13.1), so that two who change one thing
/// cannot undo each other unseen. A kind says how it is read, written and stored.
/// </summary>
/// <param name="route">The address of the kind.</param>
/// <param name="what">What one of them is called, such as "catalogue".</param>
/// <param name="page">The page they are seen on, such as "machines".</param>
internal abstract class VersionedResource<TContent>(string route, string what, string page)
    where TContent : class
{
    /// <summary>Answers a GET: the content with its tag; 304 where the caller has it already.</summary>
    public async Task<Results<FileContentHttpResult, StatusCodeHttpResult, ProblemHttpResult>> GetAsync(Guid id, HttpContext context)
    {
        if (await FindAsync(id, context.RequestAborted) is not { } stored)
            return Precondition.NotThere(what);
        if (stored.Content is not { } content)
            return CannotBeRead(stored);
        context.Response.Headers.ETag = Precondition.TagOf(stored.Version);
        return Precondition.IsKnown(context.Request, stored.Version)
            ? TypedResults.StatusCode(StatusCodes.Status304NotModified)
            : TypedResults.File(Write(content), "application/json; charset=utf-8");
    }

    /// <summary>Answers a PUT: over the version named, never over a later one; or new, where the caller expects none.</summary>
    public async Task<Results<Ok<SavedAnswer>, Created<SavedAnswer>, ProblemHttpResult>> PutAsync(Guid id, HttpContext context)
    {
        CancellationToken cancellation = context.RequestAborted;
        var expected = Precondition.Of(context.Request);
        if (expected.Kind == PreconditionKind.Missing)
            return Precondition.Required(mayCreate: true);
        (ReadOnlyMemory<byte> body, ProblemHttpResult? problem) = await RequestBody.ReadAsync(context.Request, cancellation);
        if (problem is not null)
            return problem;
        var findings = new RequestFindings();
        (TContent? content, problem) = Read(body.Span, findings);
        if (content is null)
            return problem ?? RequestProblem.Of(findings);

        StoredVersion<TContent>? current = await FindAsync(id, cancellation);
        if (expected.Kind == PreconditionKind.IsNew)
        {
            if (current is not null || await TryCreateAsync(id, content, cancellation) is not { } created)
                return Precondition.Taken(context.Response, (current ?? await FindAsync(id, cancellation))?.Version, what);
            return TypedResults.Created($"{route}/{id}", Saved(context.Response, id, created, findings));
        }

        if (current is null || (expected.Kind == PreconditionKind.IsVersion && expected.Version != current.Version))
            return Precondition.Failed(context.Response, current?.Version, what);
        // Nobody can have got it, and its text would be lost.
        if (current.Content is null)
            return CannotBeRead(current);
        if (Refusal(current.Content, content, body, expected.Kind == PreconditionKind.IsVersion) is { } refusal)
        {
            context.Response.Headers.ETag = Precondition.TagOf(current.Version);
            return refusal;
        }

        (SaveState state, int? version) = await SaveAsync(id, content, current.Version, findings, cancellation);
        return state == SaveState.Saved && version is { } now
            ? TypedResults.Ok(Saved(context.Response, id, now, findings))
            : Precondition.Failed(context.Response, version, what);
    }

    /// <summary>Answers a DELETE: of the version named, never of a later one.</summary>
    public async Task<Results<NoContent, ProblemHttpResult>> DeleteAsync(Guid id, HttpContext context)
    {
        CancellationToken cancellation = context.RequestAborted;
        var expected = Precondition.Of(context.Request);
        if (expected.Kind is PreconditionKind.Missing or PreconditionKind.IsNew)
            return Precondition.Required(mayCreate: false);
        if (await FindAsync(id, cancellation) is not { } current)
            return Precondition.NotThere(what);
        int version = expected.Kind == PreconditionKind.IsThere ? current.Version : expected.Version;
        return await DeleteAsync(id, version, cancellation) switch
        {
            SaveState.Saved => TypedResults.NoContent(),
            SaveState.Gone => Precondition.NotThere(what),
            _ => Precondition.Failed(context.Response, (await FindAsync(id, cancellation))?.Version, what),
        };
    }

    /// <summary>What is stored under a key; null for nothing.</summary>
    protected abstract Task<StoredVersion<TContent>?> FindAsync(Guid id, CancellationToken cancellation);

    /// <summary>Reads a body.</summary>
    /// <returns>The content; without it the problem, or null where the findings say what is wrong.</returns>
    protected abstract (TContent? Content, ProblemHttpResult? Problem) Read(ReadOnlySpan<byte> body, RequestFindings findings);

    /// <summary>Writes JSON that <see cref="Read"/> reads as the same.</summary>
    protected abstract byte[] Write(TContent content);

    /// <summary>Stores a new one.</summary>
    /// <returns>Its version; null where the key is taken.</returns>
    protected abstract Task<int?> TryCreateAsync(Guid id, TContent content, CancellationToken cancellation);

    /// <summary>Saves over a version.</summary>
    /// <returns>How it ended, and the version there is now; null for none.</returns>
    protected abstract Task<(SaveState State, int? Version)> SaveAsync(
        Guid id, TContent content, int expectedVersion, RequestFindings findings, CancellationToken cancellation);

    /// <summary>Deletes a version.</summary>
    protected abstract Task<SaveState> DeleteAsync(Guid id, int expectedVersion, CancellationToken cancellation);

    /// <summary>Why something may not be replaced though it has the version expected; null where it may.</summary>
    /// <param name="current">What is stored.</param>
    /// <param name="content">What it would be replaced by.</param>
    /// <param name="body">The body that was read from.</param>
    /// <param name="isKnown">True where the caller named the version, and so has seen it.</param>
    protected virtual ProblemHttpResult? Refusal(TContent current, TContent content, ReadOnlyMemory<byte> body, bool isKnown) => null;

    private static SavedAnswer Saved(HttpResponse response, Guid id, int version, RequestFindings findings)
    {
        response.Headers.ETag = Precondition.TagOf(version);
        return new SavedAnswer(id, Precondition.TagOf(version), [.. findings.Problems.Select(ProblemAnswer.Of)]);
    }

    private ProblemHttpResult CannotBeRead(StoredVersion<TContent> stored) => RequestProblem.Of(
        StatusCodes.Status409Conflict,
        $"The {what} {stored.Name} cannot be read: {stored.Why} Its text is kept; open it on the page of {page}.");
}

/// <summary>The addresses of a kind.</summary>
internal static class VersionedRoutes
{
    /// <summary>Maps the list of a kind, and GET, PUT and DELETE of one.</summary>
    /// <param name="routes">Where to.</param>
    /// <param name="route">The address of the kind.</param>
    /// <param name="kind">What one of them is called, with a capital letter.</param>
    /// <param name="requestExample">A body that can be put.</param>
    /// <param name="list">Lists them.</param>
    /// <param name="get">Gets one.</param>
    /// <param name="put">Puts one.</param>
    /// <param name="delete">Deletes one.</param>
    public static void MapVersioned<TContent>(
        this IEndpointRouteBuilder routes, string route, string kind, string requestExample, Delegate list, Delegate get, Delegate put, Delegate delete)
        where TContent : notnull
    {
        RouteGroupBuilder group = routes.MapGroup(route).WithTags(kind + "s").DisableAntiforgery();
        group.MapGet("", list).WithName($"list{kind}s").ProducesRefusals(StatusCodes.Status422UnprocessableEntity);
        group.MapGet("{id:guid}", get).WithName($"get{kind}")
            .Produces<TContent>().Produces(StatusCodes.Status304NotModified)
            .ProducesRefusals(StatusCodes.Status404NotFound, StatusCodes.Status409Conflict);
        group.MapPut("{id:guid}", put).WithName($"put{kind}")
            .WithRequestExample(requestExample).Accepts<TContent>("application/json").ProducesRequestProblems()
            .ProducesRefusals(StatusCodes.Status409Conflict, StatusCodes.Status412PreconditionFailed, StatusCodes.Status428PreconditionRequired);
        group.MapDelete("{id:guid}", delete).WithName($"delete{kind}")
            .ProducesRefusals(StatusCodes.Status404NotFound, StatusCodes.Status412PreconditionFailed, StatusCodes.Status428PreconditionRequired);
    }
}
