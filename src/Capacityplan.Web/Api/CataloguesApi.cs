using Capacityplan.Storage;
using Microsoft.AspNetCore.Http.HttpResults;

namespace Capacityplan.Web.Api;

/// <summary>The machine catalogues in the HTTP API.</summary>
public static class CataloguesApi
{
    /// <summary>The address of the catalogues.</summary>
    internal const string Route = "/api/v1/catalogues";

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
        routes.MapVersioned<CatalogueRequest>(Route, "Catalogue", RequestExample, ListAsync, GetAsync, PutAsync, DeleteAsync);
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
    internal static Task<Results<FileContentHttpResult, StatusCodeHttpResult, ProblemHttpResult>> GetAsync(
        Guid id, HttpContext context, CatalogueStore catalogues) =>
        new CatalogueResource(catalogues).GetAsync(id, context);

    /// <summary>Saves a catalogue.</summary>
    /// <remarks>Over the version named by If-Match, never over a later one (412); under a new key with If-None-Match: *. Without
    /// either, 428. What somebody typed on the page and could not be understood yet is kept beside it, as a catalogue of its own, which a
    /// problem in the answer names.</remarks>
    /// <param name="id">The catalogue's key; of a new one, any that is not taken.</param>
    /// <param name="context">The request and its answer.</param>
    /// <param name="catalogues">The catalogues.</param>
    internal static Task<Results<Ok<SavedAnswer>, Created<SavedAnswer>, ProblemHttpResult>> PutAsync(
        Guid id, HttpContext context, CatalogueStore catalogues) =>
        new CatalogueResource(catalogues).PutAsync(id, context);

    /// <summary>Deletes a catalogue.</summary>
    /// <remarks>The version named by If-Match, never a later one (412); without the header, 428. It can be put back on the page for
    /// 30 days.</remarks>
    /// <param name="id">The catalogue's key.</param>
    /// <param name="context">The request and its answer.</param>
    /// <param name="catalogues">The catalogues.</param>
    internal static Task<Results<NoContent, ProblemHttpResult>> DeleteAsync(Guid id, HttpContext context, CatalogueStore catalogues) =>
        new CatalogueResource(catalogues).DeleteAsync(id, context);
}
