using System.Collections.Immutable;
using Capacityplan.Core.Machines;
using Microsoft.EntityFrameworkCore;

namespace Capacityplan.Storage.Database;

/// <summary>Catalogues and their rows.</summary>
internal static class CatalogueRows
{
    /// <summary>A row of a catalogue whose text says it all.</summary>
    public static CatalogueRow New(Catalogue catalogue, DateTimeOffset now, Guid? id = null, int version = 1) => new()
    {
        Id = id ?? Guid.CreateVersion7(now),
        Name = ColumnText.Clean(catalogue.Name),
        Document = StoredJson.Write(catalogue),
        Version = version,
        UpdatedAt = now,
    };

    /// <summary>A row of a copy, what was typed included, under a name no other has.</summary>
    /// <param name="catalogue">The catalogue.</param>
    /// <param name="draft">What was typed in it; null where the catalogue says it all.</param>
    /// <param name="stem">The name, where no other has it; else it is followed by a number.</param>
    /// <param name="all">The catalogues there are.</param>
    /// <param name="now">When.</param>
    public static CatalogueRow NewCopy(Catalogue catalogue, CatalogueDraft? draft, string stem, ImmutableArray<StoredCatalogue> all, DateTimeOffset now)
    {
        string name = stem;
        for (int copy = 2; all.Any(stored => stored.Name == ColumnText.Clean(name)); copy++)
            name = FormattableString.Invariant($"{stem} {copy}");
        CatalogueRow row = New(catalogue with { Name = name }, now);
        row.Draft = draft is null ? null : StoredJson.Write(draft with { Name = name, KeptName = name });
        return row;
    }

    /// <summary>Removes for good what was deleted longer than <see cref="PlanStore.KeepDeletedFor"/> ago.</summary>
    public static Task<int> PurgeAsync(StorageContext context, DateTimeOffset now, CancellationToken cancellationToken)
    {
        DateTimeOffset before = now - PlanStore.KeepDeletedFor;
        return context.Catalogues.Where(stored => stored.DeletedAt < before).ExecuteDeleteAsync(cancellationToken);
    }

    /// <summary>Every catalogue is read even for one: which is the default depends on the others, and there are few.</summary>
    public static async Task<ImmutableArray<StoredCatalogue>> ListAsync(StorageContext context, CancellationToken cancellationToken)
    {
        List<CatalogueRow> rows = await context.Catalogues.AsNoTracking()
            .Where(stored => stored.DeletedAt == null).ToListAsync(cancellationToken);
        // Sorted here and not by the database, whose idea of the alphabet is its own.
        rows.Sort((one, other) => (StringComparer.OrdinalIgnoreCase.Compare(one.Name, other.Name), one.Id.CompareTo(other.Id)) switch
        {
            (0, int byId) => byId,
            (int byName, _) => byName,
        });
        CatalogueRow? byDefault = rows.Find(row => row.IsDefault) ?? rows.FirstOrDefault();
        return [.. rows.Select(row => ToStored(row, row == byDefault))];
    }

    /// <summary>The catalogue of a row.</summary>
    public static StoredCatalogue ToStored(CatalogueRow row, bool isDefault)
    {
        StoredJson.TryRead(row.Document, out Catalogue? catalogue, out Unreadable? unreadable);
        CatalogueDraft? draft = null;
        if (catalogue is not null && row.Draft is { } typed)
            StoredJson.TryRead(typed, out draft, out unreadable);
        return new()
        {
            Id = row.Id,
            Name = row.Name,
            Catalogue = catalogue,
            Draft = draft,
            Unreadable = unreadable,
            Version = row.Version,
            UpdatedAt = row.UpdatedAt,
            IsDefault = isDefault,
        };
    }
}
