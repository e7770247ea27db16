using System.Collections.Immutable;
using Capacityplan.Core.Machines;
using Capacityplan.Storage.Database;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Storage;

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
        return await CatalogueRows.ListAsync(context, cancellationToken);
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
        AddAsync(CatalogueRows.New(catalogue, _clock.GetUtcNow()), cancellationToken);

    /// <summary>Stores a new catalogue under a key of the caller's choice.</summary>
    /// <returns>Null where the key is taken, by a deleted catalogue that can still be put back too.</returns>
    public async Task<StoredCatalogue?> TryCreateAsync(Guid id, Catalogue catalogue, CancellationToken cancellationToken = default)
    {
        try
        {
            return await AddAsync(CatalogueRows.New(catalogue, _clock.GetUtcNow(), id), cancellationToken);
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

        CatalogueRow row = CatalogueRows.NewCopy(catalogue, original.Draft, $"{catalogue.Name}, copy", all, _clock.GetUtcNow());
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
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        SaveResult<StoredCatalogue> saved = await SaveAsync(context, id, catalogue, draft, expectedVersion, cancellationToken);
        Told(saved.State == SaveState.Saved);
        return saved;
    }

    /// <summary>
    /// Saves a catalogue for one who cannot have seen what its owner typed in the version it is saved over: that is kept beside it, as
    /// a catalogue of its own, in the same transaction.
    /// </summary>
    /// <param name="id">The catalogue's key.</param>
    /// <param name="catalogue">The catalogue; it says it all.</param>
    /// <param name="expectedVersion">The version the change started from.</param>
    /// <param name="cancellationToken">Ends the wait for a database.</param>
    /// <returns>How it ended; and the name what was typed is kept under, null where there was nothing to keep.</returns>
    public async Task<(SaveResult<StoredCatalogue> Saved, string? KeptAs)> ReplaceAsync(
        Guid id, Catalogue catalogue, int expectedVersion, CancellationToken cancellationToken = default)
    {
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        await using IDbContextTransaction transaction = await context.Database.BeginTransactionAsync(cancellationToken);
        ImmutableArray<StoredCatalogue> all = await CatalogueRows.ListAsync(context, cancellationToken);
        SaveResult<StoredCatalogue> saved = await SaveAsync(context, id, catalogue, draft: null, expectedVersion, cancellationToken);
        if (saved.State != SaveState.Saved)
            return (saved, null);

        // The save has taken the version it expected, and with it what was read of that version before.
        string? keptAs = null;
        if (all.FirstOrDefault(stored => stored.Id == id && stored.Version == expectedVersion) is { Catalogue: { } former } replaced
            && (replaced.Draft is not null || replaced.Unreadable is not null))
        {
            CatalogueRow row = CatalogueRows.NewCopy(former, replaced.Draft, $"{former.Name}, as typed", all, _clock.GetUtcNow());
            row.Draft ??= replaced.Unreadable?.Text;
            context.Catalogues.Add(row);
            await context.SaveChangesAsync(cancellationToken);
            keptAs = row.Name;
        }

        await transaction.CommitAsync(cancellationToken);
        Told(true);
        return (saved, keptAs);
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
        await CatalogueRows.PurgeAsync(context, now, cancellationToken);
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

    private async Task<SaveResult<StoredCatalogue>> SaveAsync(
        StorageContext context, Guid id, Catalogue catalogue, CatalogueDraft? draft, int expectedVersion, CancellationToken cancellationToken)
    {
        CatalogueRow row = CatalogueRows.New(catalogue, _clock.GetUtcNow(), id, expectedVersion + 1);
        row.Draft = draft is null ? null : StoredJson.Write(draft);
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
        StoredCatalogue? current = (await CatalogueRows.ListAsync(context, cancellationToken)).FirstOrDefault(stored => stored.Id == id);
        // What was saved here is answered even where another saver came in between: the caller's next save has to meet
        // that as a conflict.
        return saved > 0
            ? new(SaveState.Saved, CatalogueRows.ToStored(row, current is { IsDefault: true }))
            : new(current is null ? SaveState.Gone : SaveState.Conflict, current);
    }

    private async Task<StoredCatalogue> AddAsync(CatalogueRow row, CancellationToken cancellationToken)
    {
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        context.Catalogues.Add(row);
        await context.SaveChangesAsync(cancellationToken);
        Told(true);
        return (await CatalogueRows.ListAsync(context, cancellationToken)).Single(stored => stored.Id == row.Id);
    }

    private bool Told(bool hasChanged)
    {
        if (hasChanged)
            Changed?.Invoke();
        return hasChanged;
    }
}
