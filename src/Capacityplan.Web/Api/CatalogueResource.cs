using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core;
using Capacityplan.Core.Exchange;
using Capacityplan.Core.Machines;
using Capacityplan.Storage;
using Microsoft.AspNetCore.Http.HttpResults;

namespace Capacityplan.Web.Api;

/// <summary>How a catalogue is read, written and stored for the HTTP API.</summary>
internal sealed class CatalogueResource(CatalogueStore catalogues) : VersionedResource<Catalogue>(CataloguesApi.Route, "catalogue", "machines")
{
    protected override async Task<StoredVersion<Catalogue>?> FindAsync(Guid id, CancellationToken cancellation) =>
        await catalogues.FindAsync(id, cancellation) is { } stored
            ? new(stored.Name, stored.Version, stored.Catalogue, stored.Unreadable?.Why)
            : null;

    protected override (Catalogue? Content, ProblemHttpResult? Problem) Read(ReadOnlySpan<byte> body, RequestFindings findings) =>
        (CatalogueOf(ShapeReader.Read<CatalogueRequest>(body, findings), findings), null);

    protected override byte[] Write(Catalogue content) => CatalogueExport.ToJson(content);

    protected override async Task<int?> TryCreateAsync(Guid id, Catalogue content, CancellationToken cancellation) =>
        (await catalogues.TryCreateAsync(id, content, cancellation))?.Version;

    // What is typed and not understood yet is in no answer of this API, so whoever puts cannot have seen it.
    protected override async Task<(SaveState State, int? Version)> SaveAsync(
        Guid id, Catalogue content, int expectedVersion, RequestFindings findings, CancellationToken cancellation)
    {
        (SaveResult<StoredCatalogue> saved, string? keptAs) = await catalogues.ReplaceAsync(id, content, expectedVersion, cancellation);
        if (keptAs is not null)
        {
            findings.Add(new Problem(
                ProblemSeverity.Warning,
                $"What was typed on the page of machines and not understood yet is not in this; it is kept as the catalogue “{keptAs}”."));
        }

        return (saved.State, saved.Current?.Version);
    }

    protected override Task<SaveState> DeleteAsync(Guid id, int expectedVersion, CancellationToken cancellation) =>
        catalogues.DeleteAsync(id, expectedVersion, cancellation);

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
