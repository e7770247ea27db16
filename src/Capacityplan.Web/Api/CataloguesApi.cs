using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core.Exchange;
using Capacityplan.Core.Machines;
using Capacityplan.Storage;
using Microsoft.AspNetCore.Http.HttpResults;

namespace Capacityplan.Web.Api;

/// <summary>The machine catalogues in the HTTP API.</summary>
public static class CataloguesApi
{
    private const string Route = "/api/v1/catalogues";

    private const string What = "catalogue";

    private const string RequestExample =
        """
        {
          "name": "Tidemark", "pricesOf": "2026-11-03", "pricesAreInvented": true,
          "machines": [
            { "name": "Heron-16", "hardwareThreads": 16, "physicalCores": 8, "relativeCoreSpeed": 1.22, "memoryGiB": 64, "startUpSeconds": 45,
              "purchase": [
                { "kind": "metered", "pricePerHour": 1.50, "currency": "EUR", "minimumSeconds": 60 },
                { "kind": "term", "pricePerMonth": 480, "months": 12, "currency": "EUR" }
              ] }
          ]
        }
        """;

    /// <summary>Maps <c>/api/v1/catalogues</c>.</summary>
    public static IEndpointRouteBuilder MapCataloguesApi(this IEndpointRouteBuilder routes)
    {
        RouteGroupBuilder group = routes.MapGroup(Route).WithTags("Catalogues").DisableAntiforgery();
        group.MapGet("", ListAsync).WithName("listCatalogues").ProducesRefusals(StatusCodes.Status422UnprocessableEntity);
        group.MapGet("{id:guid}", GetAsync).WithName("getCatalogue")
            .Produces<CatalogueRequest>().Produces(StatusCodes.Status304NotModified)
            .ProducesRefusals(StatusCodes.Status404NotFound, StatusCodes.Status409Conflict);
        group.MapPut("{id:guid}", PutAsync).WithName("putCatalogue")
            .WithRequestExample(RequestExample).Accepts<CatalogueRequest>("application/json").ProducesRequestProblems()
            .ProducesRefusals(StatusCodes.Status409Conflict, StatusCodes.Status412PreconditionFailed, StatusCodes.Status428PreconditionRequired);
        group.MapDelete("{id:guid}", DeleteAsync).WithName("deleteCatalogue")
            .ProducesRefusals(StatusCodes.Status404NotFound, StatusCodes.Status412PreconditionFailed, StatusCodes.Status428PreconditionRequired);
        return routes;
    }

    /// <summary>Lists the catalogues.</summary>
    /// <remarks>By name, in parts.</remarks>
    /// <param name="paging">Which part.</param>
    /// <param name="catalogues">The catalogues.</param>
    /// <param name="cancellation">Ends the work when the caller goes away.</param>
    internal static async Task<Results<Ok<PageAnswer<CatalogueEntry>>, ProblemHttpResult>> ListAsync(
        [AsParameters] Paging paging, CatalogueStore catalogues, CancellationToken cancellation)
    {
        (PageAnswer<CatalogueEntry>? page, ProblemHttpResult? problem) = paging.Of(
            await catalogues.ListAsync(cancellation),
            stored => new CatalogueEntry(stored.Id, Precondition.TagOf(stored.Version), stored.Name, stored.Catalogue?.Machines.Length, stored.IsDefault, stored.UpdatedAt));
        return page is null ? problem! : TypedResults.Ok(page);
    }

    /// <summary>Gets a catalogue.</summary>
    /// <remarks>In the shape it is put in; its version is in the header ETag. With If-None-Match and that tag, 304 says that it is
    /// still the same. What somebody typed on the page and could not be understood yet is not in it.</remarks>
    /// <param name="id">The catalogue's key.</param>
    /// <param name="context">The request and its answer.</param>
    /// <param name="catalogues">The catalogues.</param>
    internal static async Task<Results<FileContentHttpResult, StatusCodeHttpResult, ProblemHttpResult>> GetAsync(
        Guid id, HttpContext context, CatalogueStore catalogues)
    {
        if (await catalogues.FindAsync(id, context.RequestAborted) is not { } stored)
            return Precondition.NotThere(What);
        if (stored.Catalogue is not { } catalogue)
            return RequestProblem.Of(StatusCodes.Status409Conflict, $"The catalogue {stored.Name} cannot be read: {stored.Unreadable?.Why} Its text is kept; open it on the page of machines.");
        context.Response.Headers.ETag = Precondition.TagOf(stored.Version);
        return Precondition.IsKnown(context.Request, stored.Version)
            ? TypedResults.StatusCode(StatusCodes.Status304NotModified)
            : TypedResults.File(CatalogueExport.ToJson(catalogue), "application/json; charset=utf-8");
    }

    /// <summary>Saves a catalogue.</summary>
    /// <remarks>Over the version named by If-Match, never over a later one (412); under a new key with If-None-Match: *. Without
    /// either, 428. What somebody typed on the page and could not be understood yet is replaced too.</remarks>
    /// <param name="id">The catalogue's key; of a new one, any that is not taken.</param>
    /// <param name="context">The request and its answer.</param>
    /// <param name="catalogues">The catalogues.</param>
    internal static async Task<Results<Ok<SavedAnswer>, Created<SavedAnswer>, ProblemHttpResult>> PutAsync(
        Guid id, HttpContext context, CatalogueStore catalogues)
    {
        CancellationToken cancellation = context.RequestAborted;
        var expected = Precondition.Of(context.Request);
        if (expected.Kind == PreconditionKind.Missing)
            return Precondition.Required(mayCreate: true);
        (ReadOnlyMemory<byte> body, ProblemHttpResult? problem) = await RequestBody.ReadAsync(context.Request, cancellation);
        if (problem is not null)
            return problem;
        var findings = new RequestFindings();
        if (CatalogueOf(ShapeReader.Read<CatalogueRequest>(body.Span, findings), findings) is not { } catalogue)
            return RequestProblem.Of(findings);

        StoredCatalogue? current = await catalogues.FindAsync(id, cancellation);
        if (expected.Kind == PreconditionKind.IsNew)
        {
            if (current is not null || await catalogues.TryCreateAsync(id, catalogue, cancellation) is not { } created)
                return Precondition.Taken(context.Response, (current ?? await catalogues.FindAsync(id, cancellation))?.Version, What);
            return TypedResults.Created($"{Route}/{id}", Saved(context.Response, id, created.Version, findings));
        }

        int version = expected.Kind == PreconditionKind.IsThere ? current?.Version ?? 0 : expected.Version;
        SaveResult<StoredCatalogue> saved = await catalogues.SaveAsync(id, catalogue, version, cancellation);
        return saved is { State: SaveState.Saved, Current: { } now }
            ? TypedResults.Ok(Saved(context.Response, id, now.Version, findings))
            : Precondition.Failed(context.Response, saved.Current?.Version, What);
    }

    /// <summary>Deletes a catalogue.</summary>
    /// <remarks>The version named by If-Match, never a later one (412); without the header, 428. It can be put back on the page for
    /// 30 days.</remarks>
    /// <param name="id">The catalogue's key.</param>
    /// <param name="context">The request and its answer.</param>
    /// <param name="catalogues">The catalogues.</param>
    internal static async Task<Results<NoContent, ProblemHttpResult>> DeleteAsync(Guid id, HttpContext context, CatalogueStore catalogues)
    {
        var expected = Precondition.Of(context.Request);
        if (expected.Kind is PreconditionKind.Missing or PreconditionKind.IsNew)
            return Precondition.Required(mayCreate: false);
        if (await catalogues.FindAsync(id, context.RequestAborted) is not { } current)
            return Precondition.NotThere(What);
        int version = expected.Kind == PreconditionKind.IsThere ? current.Version : expected.Version;
        return await catalogues.DeleteAsync(id, version, context.RequestAborted) switch
        {
            SaveState.Saved => TypedResults.NoContent(),
            SaveState.Gone => Precondition.NotThere(What),
            _ => Precondition.Failed(context.Response, (await catalogues.FindAsync(id, context.RequestAborted))?.Version, What),
        };
    }

    private static SavedAnswer Saved(HttpResponse response, Guid id, int version, RequestFindings findings)
    {
        response.Headers.ETag = Precondition.TagOf(version);
        return new SavedAnswer(id, Precondition.TagOf(version), [.. findings.Problems.Select(ProblemAnswer.Of)]);
    }

    private static Catalogue? CatalogueOf(CatalogueRequest? request, RequestFindings findings)
    {
        if (request is null || findings.IsMalformed || findings.IsFull)
            return null;
        if (request.Name is { } given && string.IsNullOrWhiteSpace(given))
            findings.Error("name", "It is blank; a catalogue needs a name.");
        DateOnly? pricesOf = null;
        if (request.PricesOf is { } text)
        {
            if (DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out DateOnly day))
                pricesOf = day;
            else
                findings.Error("pricesOf", $"There is no day {text}.");
        }

        PlanOrder.CheckMachines(request.Machines, findings);
        ImmutableArray<CurrencyRate> rates = PurchaseOrder.RatesOf(request.Rates, findings);
        if (findings.Errors.Count > 0 || request is not { Name: { } name, Machines: { } machines })
            return null;
        return new Catalogue
        {
            Name = name,
            PricesOf = pricesOf,
            PricesAreInvented = request.PricesAreInvented ?? false,
            Machines = [.. machines.OfType<MachineRequest>().Select(PlanOrder.MachineOf)],
            Rates = rates,
        };
    }
}
