using System.Collections.Immutable;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Reading;
using Capacityplan.Storage;
using Capacityplan.Web.Plans;

namespace Capacityplan.Web.Catalogues;

/// <summary>A sheet as it was at one moment.</summary>
/// <param name="Rows">Its rows.</param>
/// <param name="Reading">What it was understood as.</param>
public sealed record SheetMoment(ImmutableArray<SheetRow> Rows, CatalogueDraftReading Reading)
{
    /// <summary>The sheet as it is.</summary>
    public static SheetMoment Of(CatalogueSheet sheet) => new([.. sheet.Rows], sheet.Reading);
}

/// <summary>
/// Saves a catalogue by itself a moment after the last change, one save at a time, never over somebody else's.
/// </summary>
public sealed partial class CatalogueSaver : IAsyncDisposable
{
    private static readonly TimeSpan s_pause = TimeSpan.FromMilliseconds(500);

    private readonly CatalogueStore _store;
    private readonly TimeProvider _clock;
    private readonly ILogger<CatalogueSaver> _log;
    private readonly SemaphoreSlim _one = new(1, 1);
    private readonly Lock _lock = new();
    private SheetMoment? _due;
    private Guid _id;
    private int _version;
    private ITimer? _timer;

    /// <summary>Follows a stored catalogue.</summary>
    /// <param name="stored">The catalogue as it is stored.</param>
    /// <param name="store">Where it is stored.</param>
    /// <param name="clock">The clock.</param>
    /// <param name="log">Told why a save failed.</param>
    public CatalogueSaver(StoredCatalogue stored, CatalogueStore store, TimeProvider clock, ILogger<CatalogueSaver> log)
    {
        (_id, _version, SavedAt) = (stored.Id, stored.Version, stored.UpdatedAt);
        _store = store;
        _clock = clock;
        _log = log;
    }

    /// <summary>The key of the catalogue it saves.</summary>
    public Guid Id => _id;

    /// <summary>Raised, on any thread, when <see cref="State"/> has changed.</summary>
    public event Action? Changed;

    /// <summary>Raised, on any thread, with what is stored now.</summary>
    public event Action<SheetMoment>? Saved;

    /// <summary>How the sheet stands against what is stored.</summary>
    public SavedState State { get; private set; } = SavedState.Saved;

    /// <summary>When it was last saved.</summary>
    public DateTimeOffset SavedAt { get; private set; }

    /// <summary>What somebody else stored since, after a conflict.</summary>
    public StoredCatalogue? Theirs { get; private set; }

    /// <summary>Takes what is typed, to be saved after a pause. After a conflict it waits for <see cref="Resume"/>.</summary>
    public void Take(SheetMoment moment)
    {
        lock (_lock)
        {
            _due = moment;
            if (State is SavedState.Conflict or SavedState.Gone)
                return;
            _timer ??= _clock.CreateTimer(_ => _ = SaveAsync(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
            _timer.Change(s_pause, Timeout.InfiniteTimeSpan);
        }

        Show(SavedState.Saving);
    }

    /// <summary>Saves what is due, now.</summary>
    public async Task SaveAsync()
    {
        await _one.WaitAsync();
        try
        {
            SheetMoment? due;
            lock (_lock)
            {
                due = State is SavedState.Conflict or SavedState.Gone ? null : _due;
            }

            if (due is not null)
                await SaveAsync(due);
        }
        catch (Exception exception) when (exception is not OutOfMemoryException)
        {
            // Whatever the store refuses, the text stays on the page and the bar says so; it is still due.
            LogFailed(exception, _id);
            Show(SavedState.Failed);
        }
        finally
        {
            _one.Release();
        }
    }

    /// <summary>Goes on from what somebody else stored, once the sheet has taken it in.</summary>
    public void Resume(StoredCatalogue theirs, SheetMoment moment)
    {
        (_version, SavedAt, Theirs, State) = (theirs.Version, theirs.UpdatedAt, null, SavedState.Saving);
        Take(moment);
    }

    /// <summary>Stores the sheet as a new catalogue, and makes it the one plans are priced with: its own was deleted.</summary>
    public async Task SaveAsNewAsync(SheetMoment moment)
    {
        StoredCatalogue created = await _store.CreateAsync(moment.Reading.Catalogue);
        await _store.MakeDefaultAsync(created.Id);
        (_id, _version, State) = (created.Id, created.Version, SavedState.Saving);
        Take(moment);
        await SaveAsync();
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        (Changed, Saved) = (null, null);
        if (_timer is not null)
            await _timer.DisposeAsync();
        await SaveAsync();
    }

    private async Task SaveAsync(SheetMoment due)
    {
        CatalogueDraftReading reading = due.Reading;
        // Texts are stored beside the catalogue only while it does not say them all.
        CatalogueDraft? draft = reading.IsWhole ? null : reading.Draft;
        SaveResult<StoredCatalogue> saved = await _store.SaveAsync(_id, reading.Catalogue, draft, _version);
        switch (saved)
        {
            case { State: SaveState.Saved, Current: { } current }:
                bool isLast;
                lock (_lock)
                {
                    isLast = ReferenceEquals(_due, due);
                    if (isLast)
                        _due = null;
                }

                (_version, SavedAt) = (current.Version, current.UpdatedAt);
                Saved?.Invoke(due);
                if (isLast)
                    Show(SavedState.Saved);
                break;
            case { State: SaveState.Conflict, Current: { } theirs }:
                Theirs = theirs;
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

    [LoggerMessage(Level = LogLevel.Error, Message = "Catalogue {Id} could not be saved.")]
    private partial void LogFailed(Exception exception, Guid id);
}
