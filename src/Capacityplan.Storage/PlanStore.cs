using System.Collections.Immutable;
using Capacityplan.Core.Planning;
using Capacityplan.Storage.Database;
using Microsoft.EntityFrameworkCore;

namespace Capacityplan.Storage;

/// <summary>
/// The plans. Safe to use from any number of threads and circuits: every operation opens a context of its own and is
/// one statement or one transaction.
/// </summary>
public sealed class PlanStore
{
    /// <summary>How long a deleted plan or catalogue can be put back before it is removed for good.</summary>
    public static readonly TimeSpan KeepDeletedFor = TimeSpan.FromDays(30);

    private readonly IDbContextFactory<StorageContext> _contexts;
    private readonly TimeProvider _clock;

    internal PlanStore(IDbContextFactory<StorageContext> contexts, TimeProvider clock)
    {
        _contexts = contexts;
        _clock = clock;
    }

    /// <summary>Raised, on any thread, after this program has made, saved, deleted or put back the plan of that key: what follows it, as a
    /// night of another plan does, may have changed.</summary>
    public event Action<Guid>? Changed;

    /// <summary>The plans, last changed first; those that cannot be read are among them.</summary>
    /// <param name="find">A part of the name or the owner, in any case; null or blank for all.</param>
    public async Task<ImmutableArray<StoredPlan>> ListAsync(string? find = null, CancellationToken cancellationToken = default)
    {
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        IQueryable<PlanRow> rows = context.Plans.AsNoTracking().Where(plan => plan.DeletedAt == null);
        if (!string.IsNullOrWhiteSpace(find))
        {
            string part = ColumnText.ToSearch(find.Trim());
            rows = rows.Where(plan => plan.SearchText.Contains(part));
        }

        List<PlanRow> found = await rows
            .OrderByDescending(plan => plan.UpdatedAt).ThenBy(plan => plan.Id)
            .ToListAsync(cancellationToken);
        return [.. found.Select(ToStored)];
    }

    /// <summary>A plan; null where there is none of that key, or it is deleted.</summary>
    public async Task<StoredPlan?> FindAsync(Guid id, CancellationToken cancellationToken = default)
    {
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        return await FindAsync(context, id, cancellationToken);
    }

    /// <summary>Stores a new plan.</summary>
    /// <param name="draft">What its owner typed.</param>
    /// <param name="answer">The answer to it; null where it is not worked out yet.</param>
    public async Task<StoredPlan> CreateAsync(PlanDraft draft, StoredAnswer? answer = null, CancellationToken cancellationToken = default)
    {
        PlanRow row = NewRow(draft, answer, _clock.GetUtcNow());
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        context.Plans.Add(row);
        await context.SaveChangesAsync(cancellationToken);
        Told(row.Id, true);
        return ToStored(row);
    }

    /// <summary>Stores a new plan under a key of the caller's choice.</summary>
    /// <returns>Null where the key is taken, by a deleted plan that can still be put back too.</returns>
    public async Task<StoredPlan?> TryCreateAsync(Guid id, PlanDraft draft, CancellationToken cancellationToken = default)
    {
        PlanRow row = NewRow(draft, answer: null, _clock.GetUtcNow(), id);
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        context.Plans.Add(row);
        try
        {
            await context.SaveChangesAsync(cancellationToken);
        }
        catch (DbUpdateException)
        {
            // Between two who choose one key the database decides; any other reason is a fault.
            if (await context.Plans.AsNoTracking().AnyAsync(plan => plan.Id == id, cancellationToken))
                return null;
            throw;
        }

        Told(id, true);
        return ToStored(row);
    }

    /// <summary>Saves a draft over the version it was made from; never over a later one.</summary>
    /// <param name="id">The plan's key.</param>
    /// <param name="draft">What its owner typed.</param>
    /// <param name="expectedVersion">The version the draft started from.</param>
    /// <param name="answer">The answer to this draft; null where it is not worked out yet, which takes the answer to the
    /// former draft off the list. <see cref="RecordAnswerAsync"/> adds it later.</param>
    public async Task<SaveResult<StoredPlan>> SaveAsync(
        Guid id, PlanDraft draft, int expectedVersion, StoredAnswer? answer, CancellationToken cancellationToken = default)
    {
        PlanRow row = NewRow(draft, answer, _clock.GetUtcNow(), id, expectedVersion + 1);
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        // One statement with the version in its condition: between two savers the database itself decides.
        int saved = await context.Plans
            .Where(plan => plan.Id == id && plan.Version == expectedVersion && plan.DeletedAt == null)
            .ExecuteUpdateAsync(
                set => set
                    .SetProperty(plan => plan.Name, row.Name)
                    .SetProperty(plan => plan.Owner, row.Owner)
                    .SetProperty(plan => plan.SearchText, row.SearchText)
                    .SetProperty(plan => plan.Draft, row.Draft)
                    .SetProperty(plan => plan.GraphFile, row.GraphFile)
                    .SetProperty(plan => plan.Version, row.Version)
                    .SetProperty(plan => plan.UpdatedAt, row.UpdatedAt)
                    .SetProperty(plan => plan.AnswerState, row.AnswerState)
                    .SetProperty(plan => plan.AnswerSentence, row.AnswerSentence),
                cancellationToken);
        if (Told(id, saved > 0))
            return new(SaveState.Saved, ToStored(row));

        StoredPlan? current = await FindAsync(context, id, cancellationToken);
        return new(current is null ? SaveState.Gone : SaveState.Conflict, current);
    }

    /// <summary>Adds the answer to a draft already saved; its version and date stay.</summary>
    /// <returns>False where the draft has another version by now, or is gone: the answer is to something no longer there.</returns>
    public async Task<bool> RecordAnswerAsync(Guid id, int version, StoredAnswer answer, CancellationToken cancellationToken = default)
    {
        string state = answer.State.ToString();
        string sentence = ColumnText.Clean(answer.Sentence);
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        return await context.Plans
            .Where(plan => plan.Id == id && plan.Version == version && plan.DeletedAt == null)
            .ExecuteUpdateAsync(
                set => set.SetProperty(plan => plan.AnswerState, state).SetProperty(plan => plan.AnswerSentence, sentence),
                cancellationToken) > 0;
    }

    /// <summary>Deletes a plan; <see cref="RestoreAsync"/> puts it back for <see cref="KeepDeletedFor"/>.</summary>
    /// <returns>False where there was none.</returns>
    public async Task<bool> DeleteAsync(Guid id, CancellationToken cancellationToken = default)
    {
        DateTimeOffset now = _clock.GetUtcNow();
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        await PurgeAsync(context, now, cancellationToken);
        return Told(id, await context.Plans
            .Where(plan => plan.Id == id && plan.DeletedAt == null)
            .ExecuteUpdateAsync(set => set.SetProperty(plan => plan.DeletedAt, now), cancellationToken) > 0);
    }

    /// <summary>Deletes a plan of one version, never a later one; see <see cref="DeleteAsync(Guid, CancellationToken)"/>.</summary>
    public async Task<SaveState> DeleteAsync(Guid id, int expectedVersion, CancellationToken cancellationToken = default)
    {
        DateTimeOffset now = _clock.GetUtcNow();
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        int deleted = await context.Plans
            .Where(plan => plan.Id == id && plan.Version == expectedVersion && plan.DeletedAt == null)
            .ExecuteUpdateAsync(set => set.SetProperty(plan => plan.DeletedAt, now), cancellationToken);
        if (Told(id, deleted > 0))
            return SaveState.Saved;
        return await context.Plans.AnyAsync(plan => plan.Id == id && plan.DeletedAt == null, cancellationToken) ? SaveState.Conflict : SaveState.Gone;
    }

    /// <summary>Puts a deleted plan back as it was.</summary>
    /// <returns>False where there is no deleted plan of that key (any more).</returns>
    public async Task<bool> RestoreAsync(Guid id, CancellationToken cancellationToken = default)
    {
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        return Told(id, await context.Plans
            .Where(plan => plan.Id == id && plan.DeletedAt != null)
            .ExecuteUpdateAsync(set => set.SetProperty(plan => plan.DeletedAt, (DateTimeOffset?)null), cancellationToken) > 0);
    }

    /// <summary>Stores a copy of a plan, its answer included, under "name, copy".</summary>
    /// <returns>The copy; null where there is no such plan or it cannot be read.</returns>
    public async Task<StoredPlan?> DuplicateAsync(Guid id, CancellationToken cancellationToken = default)
    {
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        if (await FindAsync(context, id, cancellationToken) is not { Draft: { } draft } original)
            return null;

        List<string> taken = await context.Plans.Where(plan => plan.DeletedAt == null).Select(plan => plan.Name).ToListAsync(cancellationToken);
        string stem = string.IsNullOrWhiteSpace(draft.Name) ? "copy" : $"{draft.Name}, copy";
        string name = stem;
        for (int copy = 2; taken.Contains(ColumnText.Clean(name)); copy++)
            name = FormattableString.Invariant($"{stem} {copy}");
        return await CreateAsync(draft with { Name = name }, original.LastAnswer, cancellationToken);
    }

    internal static PlanRow NewRow(PlanDraft draft, StoredAnswer? answer, DateTimeOffset now, Guid? id = null, int version = 1) => new()
    {
        Id = id ?? Guid.CreateVersion7(now),
        Name = ColumnText.Clean(draft.Name),
        Owner = ColumnText.Clean(draft.Owner),
        SearchText = ColumnText.ToSearch($"{draft.Name}\n{draft.Owner}"),
        Draft = StoredJson.Write(draft),
        GraphFile = PackedFile.IsKey(draft.GraphFile) ? draft.GraphFile : null,
        Version = version,
        UpdatedAt = now,
        AnswerState = answer?.State.ToString(),
        AnswerSentence = answer is null ? null : ColumnText.Clean(answer.Sentence),
    };

    /// <summary>Removes for good what was deleted longer than <see cref="KeepDeletedFor"/> ago.</summary>
    internal static async Task PurgeAsync(StorageContext context, DateTimeOffset now, CancellationToken cancellationToken)
    {
        DateTimeOffset before = now - KeepDeletedFor;
        await context.Plans.Where(plan => plan.DeletedAt < before).ExecuteDeleteAsync(cancellationToken);
        await JobFileStore.PurgeAsync(context, now, cancellationToken);
    }

    private bool Told(Guid id, bool hasChanged)
    {
        if (hasChanged)
            Changed?.Invoke(id);
        return hasChanged;
    }

    private static async Task<StoredPlan?> FindAsync(StorageContext context, Guid id, CancellationToken cancellationToken)
    {
        PlanRow? row = await context.Plans.AsNoTracking()
            .SingleOrDefaultAsync(plan => plan.Id == id && plan.DeletedAt == null, cancellationToken);
        return row is null ? null : ToStored(row);
    }

    private static StoredPlan ToStored(PlanRow row)
    {
        StoredJson.TryRead(row.Draft, out PlanDraft? draft, out Unreadable? unreadable);
        return new()
        {
            Id = row.Id,
            Name = row.Name,
            Owner = row.Owner,
            Draft = draft,
            Unreadable = unreadable,
            Version = row.Version,
            UpdatedAt = row.UpdatedAt,
            // A state a later version may have added is no answer here; the plan is worked out afresh when opened.
            LastAnswer = Enum.TryParse(row.AnswerState, out VerdictState state) && Enum.IsDefined(state) && row.AnswerSentence is { } sentence
                ? new StoredAnswer(state, sentence)
                : null,
        };
    }
}
