using System.Collections.Immutable;
using Capacityplan.Core.Machines;
using Capacityplan.Storage.Database;
using Microsoft.EntityFrameworkCore;

namespace Capacityplan.Storage;

/// <summary>The machine catalogues. Safe to use from any number of threads and circuits, as <see cref="PlanStore"/> is.</summary>
public sealed class CatalogueStore
{
    private readonly IDbContextFactory<StorageContext> _contexts;
    private readonly TimeProvider _clock;

    internal CatalogueStore(IDbContextFactory<StorageContext> contexts, TimeProvider clock)
    {
        _contexts = contexts;
        _clock = clock;
    }

    /// <summary>Raised, on any thread, after a catalogue was made, saved, deleted, put back or made the default by this
    /// program: what was worked out from one may have changed.</summary>
    public event Action? Changed;

    /// <summary>The catalogues by name; those that cannot be read are among them.</summary>
    public async Task<ImmutableArray<StoredCatalogue>> ListAsync(CancellationToken cancellationToken = default)
    {
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        return await ListAsync(context, cancellationToken);
    }

    /// <summary>A catalogue; null where there is none of that key, or it is deleted.</summary>
    public async Task<StoredCatalogue?> FindAsync(Guid id, CancellationToken cancellationToken = default) =>
        (await ListAsync(cancellationToken)).FirstOrDefault(catalogue => catalogue.Id == id);

    /// <summary>
    /// The catalogue that plans without one of their own are priced with: the one chosen by <see cref="MakeDefaultAsync"/>,
    /// else the first by name; null where there is no catalogue.
    /// </summary>
    public async Task<StoredCatalogue?> GetDefaultAsync(CancellationToken cancellationToken = default) =>
        (await ListAsync(cancellationToken)).FirstOrDefault(catalogue => catalogue.IsDefault);

    /// <summary>Stores a new catalogue.</summary>
    public Task<StoredCatalogue> CreateAsync(Catalogue catalogue, CancellationToken cancellationToken = default) =>
        AddAsync(NewRow(catalogue, _clock.GetUtcNow()), cancellationToken);

    /// <summary>Stores a new catalogue under a key of the caller's choice.</summary>
    /// <returns>Null where the key is taken, by a deleted catalogue that can still be put back too.</returns>
    public async Task<StoredCatalogue?> TryCreateAsync(Guid id, Catalogue catalogue, CancellationToken cancellationToken = default)
    {
        try
        {
            return await AddAsync(NewRow(catalogue, _clock.GetUtcNow(), id), cancellationToken);
        }
        catch (DbUpdateException)
        {
            // Between two who choose one key the database decides; any other reason is a fault.
            await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
            if (await context.Catalogues.AnyAsync(stored => stored.Id == id, cancellationToken))
                return null;
            throw;
        }
    }

    /// <summary>Stores a copy of a catalogue, what was typed in it included, under "name, copy".</summary>
    /// <returns>The copy; null where there is no such catalogue or it cannot be read.</returns>
    public async Task<StoredCatalogue?> DuplicateAsync(Guid id, CancellationToken cancellationToken = default)
    {
        ImmutableArray<StoredCatalogue> all = await ListAsync(cancellationToken);
        if (all.FirstOrDefault(stored => stored.Id == id) is not { Catalogue: { } catalogue, Unreadable: null } original)
            return null;

        string stem = $"{catalogue.Name}, copy";
        string name = stem;
        for (int copy = 2; all.Any(stored => stored.Name == ColumnText.Clean(name)); copy++)
            name = FormattableString.Invariant($"{stem} {copy}");
        CatalogueRow row = NewRow(catalogue with { Name = name }, _clock.GetUtcNow());
        row.Draft = original.Draft is { } draft ? StoredJson.Write(draft with { Name = name, KeptName = name }) : null;
        return await AddAsync(row, cancellationToken);
    }

    /// <summary>Saves a catalogue over the version it was made from; never over a later one.</summary>
    /// <param name="id">The catalogue's key.</param>
    /// <param name="catalogue">The catalogue.</param>
    /// <param name="expectedVersion">The version the change started from.</param>
    public Task<SaveResult<StoredCatalogue>> SaveAsync(
        Guid id, Catalogue catalogue, int expectedVersion, CancellationToken cancellationToken = default) =>
        SaveAsync(id, catalogue, draft: null, expectedVersion, cancellationToken);

    /// <summary>Saves a catalogue and what its owner typed over the version both were made from; never over a later one.</summary>
    /// <param name="id">The catalogue's key.</param>
    /// <param name="catalogue">The catalogue: what could be understood.</param>
    /// <param name="draft">What was typed, where the catalogue does not say it all; null where it does.</param>
    /// <param name="expectedVersion">The version the change started from.</param>
    public async Task<SaveResult<StoredCatalogue>> SaveAsync(
        Guid id, Catalogue catalogue, CatalogueDraft? draft, int expectedVersion, CancellationToken cancellationToken = default)
    {
        CatalogueRow row = NewRow(catalogue, _clock.GetUtcNow(), id, expectedVersion + 1);
        row.Draft = draft is null ? null : StoredJson.Write(draft);
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        int saved = await context.Catalogues
            .Where(stored => stored.Id == id && stored.Version == expectedVersion && stored.DeletedAt == null)
            .ExecuteUpdateAsync(
                set => set
                    .SetProperty(stored => stored.Name, row.Name)
                    .SetProperty(stored => stored.Document, row.Document)
                    .SetProperty(stored => stored.Draft, row.Draft)
                    .SetProperty(stored => stored.Version, row.Version)
                    .SetProperty(stored => stored.UpdatedAt, row.UpdatedAt),
                cancellationToken);
        StoredCatalogue? current = (await ListAsync(context, cancellationToken)).FirstOrDefault(stored => stored.Id == id);
        Told(saved > 0);
        // What was saved here is answered even where another saver came in between: the caller's next save has to meet
        // that as a conflict.
        return saved > 0
            ? new(SaveState.Saved, ToStored(row, current is { IsDefault: true }))
            : new(current is null ? SaveState.Gone : SaveState.Conflict, current);
    }

    /// <summary>Makes a catalogue the default one.</summary>
    /// <returns>False where there is none of that key.</returns>
    public async Task<bool> MakeDefaultAsync(Guid id, CancellationToken cancellationToken = default)
    {
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        if (!await context.Catalogues.AnyAsync(stored => stored.Id == id && stored.DeletedAt == null, cancellationToken))
            return false;

        // One statement for all rows: never two defaults, never none between.
        await context.Catalogues.ExecuteUpdateAsync(
            set => set.SetProperty(stored => stored.IsDefault, stored => stored.Id == id), cancellationToken);
        return Told(true);
    }

    /// <summary>Deletes a catalogue; <see cref="RestoreAsync"/> puts it back for <see cref="PlanStore.KeepDeletedFor"/>.</summary>
    /// <returns>False where there was none.</returns>
    public async Task<bool> DeleteAsync(Guid id, CancellationToken cancellationToken = default)
    {
        DateTimeOffset now = _clock.GetUtcNow();
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        await PurgeAsync(context, now, cancellationToken);
        int deleted = await context.Catalogues
            .Where(stored => stored.Id == id && stored.DeletedAt == null)
            .ExecuteUpdateAsync(set => set.SetProperty(stored => stored.DeletedAt, now), cancellationToken);
        return Told(deleted > 0);
    }

    /// <summary>Deletes a catalogue of one version, never a later one; see <see cref="DeleteAsync(Guid, CancellationToken)"/>.</summary>
    public async Task<SaveState> DeleteAsync(Guid id, int expectedVersion, CancellationToken cancellationToken = default)
    {
        DateTimeOffset now = _clock.GetUtcNow();
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        int deleted = await context.Catalogues
            .Where(stored => stored.Id == id && stored.Version == expectedVersion && stored.DeletedAt == null)
            .ExecuteUpdateAsync(set => set.SetProperty(stored => stored.DeletedAt, now), cancellationToken);
        if (Told(deleted > 0))
            return SaveState.Saved;
        return await context.Catalogues.AnyAsync(stored => stored.Id == id && stored.DeletedAt == null, cancellationToken) ? SaveState.Conflict : SaveState.Gone;
    }

    /// <summary>Puts a deleted catalogue back as it was.</summary>
    /// <returns>False where there is no deleted catalogue of that key (any more).</returns>
    public async Task<bool> RestoreAsync(Guid id, CancellationToken cancellationToken = default)
    {
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        int restored = await context.Catalogues
            .Where(stored => stored.Id == id && stored.DeletedAt != null)
            .ExecuteUpdateAsync(set => set.SetProperty(stored => stored.DeletedAt, (DateTimeOffset?)null), cancellationToken);
        return Told(restored > 0);
    }

    internal static CatalogueRow NewRow(Catalogue catalogue, DateTimeOffset now, Guid? id = null, int version = 1) => new()
    {
        Id = id ?? Guid.CreateVersion7(now),
        Name = ColumnText.Clean(catalogue.Name),
        Document = StoredJson.Write(catalogue),
        Version = version,
        UpdatedAt = now,
    };

    internal static Task<int> PurgeAsync(StorageContext context, DateTimeOffset now, CancellationToken cancellationToken)
    {
        DateTimeOffset before = now - PlanStore.KeepDeletedFor;
        return context.Catalogues.Where(stored => stored.DeletedAt < before).ExecuteDeleteAsync(cancellationToken);
    }

    private async Task<StoredCatalogue> AddAsync(CatalogueRow row, CancellationToken cancellationToken)
    {
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        context.Catalogues.Add(row);
        await context.SaveChangesAsync(cancellationToken);
        Told(true);
        return (await ListAsync(context, cancellationToken)).Single(stored => stored.Id == row.Id);
    }

    private bool Told(bool hasChanged)
    {
        if (hasChanged)
            Changed?.Invoke();
        return hasChanged;
    }

    /// <summary>Every catalogue is read even for one: which is the default depends on the others, and there are few.</summary>
    private static async Task<ImmutableArray<StoredCatalogue>> ListAsync(StorageContext context, CancellationToken cancellationToken)
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

    private static StoredCatalogue ToStored(CatalogueRow row, bool isDefault)
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
