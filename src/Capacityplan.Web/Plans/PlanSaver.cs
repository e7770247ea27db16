using Capacityplan.Core.Planning;
using Capacityplan.Storage;

namespace Capacityplan.Web.Plans;

/// <summary>How a plan stands against what is stored.</summary>
public enum SavedState
{
    /// <summary>What is typed is stored.</summary>
    Saved,

    /// <summary>A save is due or under way.</summary>
    Saving,

    /// <summary>Somebody else has saved the plan since; nothing of theirs is overwritten.</summary>
    Conflict,

    /// <summary>The plan was deleted meanwhile.</summary>
    Gone,

    /// <summary>The store could not be written to; it is tried again with the next change.</summary>
    Failed,
}

/// <summary>
/// Saves a plan by itself a moment after the last change, one save at a time, never over somebody else's.
/// </summary>
public sealed partial class PlanSaver : IAsyncDisposable
{
    private static readonly TimeSpan s_pause = TimeSpan.FromMilliseconds(500);

    private readonly PlanStore _store;
    private readonly TimeProvider _clock;
    private readonly ILogger<PlanSaver> _log;
    private readonly Lock _lock = new();
    private Task _saving = Task.CompletedTask;
    private PlanDraft _stored;
    private (PlanDraft Draft, StoredAnswer? Answer)? _due;
    private int _version;
    private ITimer? _timer;

    /// <summary>Follows a stored plan.</summary>
    /// <param name="plan">The plan as it is stored, readable.</param>
    /// <param name="store">Where it is stored.</param>
    /// <param name="clock">The clock.</param>
    /// <param name="log">Told why a save failed.</param>
    public PlanSaver(StoredPlan plan, PlanStore store, TimeProvider clock, ILogger<PlanSaver> log)
    {
        Id = plan.Id;
        _stored = plan.Draft ?? throw new ArgumentException("The plan cannot be read.", nameof(plan));
        _version = plan.Version;
        SavedAt = plan.UpdatedAt;
        _store = store;
        _clock = clock;
        _log = log;
    }

    /// <summary>Raised, on any thread, when <see cref="State"/> has changed.</summary>
    public event Action? Changed;

    /// <summary>The plan's key.</summary>
    public Guid Id { get; private set; }

    /// <summary>How the plan stands against what is stored.</summary>
    public SavedState State { get; private set; } = SavedState.Saved;

    /// <summary>When it was last saved.</summary>
    public DateTimeOffset SavedAt { get; private set; }

    /// <summary>Takes what is typed, to be saved after a pause.</summary>
    /// <param name="draft">What is typed.</param>
    /// <param name="answer">The answer to it; null while it is not worked out.</param>
    public void Take(PlanDraft draft, StoredAnswer? answer)
    {
        lock (_lock)
        {
            // The answer alone is saved too: the list of plans shows it.
            if (State is SavedState.Conflict or SavedState.Gone || ((_due?.Draft ?? _stored) == draft && answer is null))
                return;
            _due = (draft, answer);
            _timer ??= _clock.CreateTimer(_ => _ = SaveAsync(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
            _timer.Change(s_pause, Timeout.InfiniteTimeSpan);
        }

        if (draft != _stored)
            Show(SavedState.Saving);
    }

    /// <summary>Saves what is typed as a plan of its own, after a conflict.</summary>
    /// <returns>The new plan.</returns>
    public async Task<StoredPlan> SaveAsCopyAsync(PlanDraft draft)
    {
        StoredPlan copy = await _store.CreateAsync(draft with { Name = draft.Name + " (mine)" });
        return copy;
    }

    /// <summary>Saves what is due, now, after any save under way.</summary>
    public Task SaveAsync()
    {
        lock (_lock)
        {
            return _saving = SaveAfterAsync(_saving);
        }
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        Changed = null;
        if (_timer is not null)
            await _timer.DisposeAsync();
        await SaveAsync();
    }

    private async Task SaveAfterAsync(Task before)
    {
        await before.ConfigureAwait(ConfigureAwaitOptions.ForceYielding);
        try
        {
            (PlanDraft Draft, StoredAnswer? Answer)? due;
            lock (_lock)
            {
                due = _due;
                _due = null;
            }

            if (due is not { } work)
                return;
            if (work.Draft == _stored)
            {
                if (work.Answer is { } answer)
                    await _store.RecordAnswerAsync(Id, _version, answer);
                Show(SavedState.Saved);
                return;
            }

            await SaveDraftAsync(work.Draft, work.Answer);
        }
        catch (Exception exception) when (exception is not OutOfMemoryException)
        {
            // Whatever the store refuses, the text stays on the page and the bar says so; the next change tries again.
            LogFailed(exception, Id);
            Show(SavedState.Failed);
        }
    }

    private async Task SaveDraftAsync(PlanDraft draft, StoredAnswer? answer)
    {
        SaveResult<StoredPlan> saved = await _store.SaveAsync(Id, draft, _version, answer);
        switch (saved)
        {
            case { State: SaveState.Saved, Current: { } current }:
                _stored = draft;
                _version = current.Version;
                SavedAt = current.UpdatedAt;
                Show(SavedState.Saved);
                break;
            case { State: SaveState.Conflict }:
                Show(SavedState.Conflict);
                break;
            default:
                Show(SavedState.Gone);
                break;
        }
    }

    private void Show(SavedState state)
    {
        State = state;
        Changed?.Invoke();
    }

    [LoggerMessage(Level = LogLevel.Error, Message = "Plan {Id} could not be saved.")]
    private partial void LogFailed(Exception exception, Guid id);
}
