using System.Collections.Immutable;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Reading;
using Capacityplan.Storage;

namespace Capacityplan.Web.Plans;

/// <summary>
/// The saved plans that share a plan's night: looks them up away from the caller's thread when the plan is opened, when another is
/// taken in, when one of them is saved elsewhere in this program, and when asked to.
/// </summary>
public sealed class NightSession : IAsyncDisposable
{
    private readonly PlanStore _plans;
    private readonly JobFileStore _files;
    private readonly Guid _own;
    private readonly Lock _lock = new();
    private readonly CancellationTokenSource _closing = new();
    private ImmutableArray<Guid> _wanted = [];
    private ImmutableDictionary<Guid, NightPlan> _known = ImmutableDictionary<Guid, NightPlan>.Empty;
    private Task _work = Task.CompletedTask;
    private bool _isDisposed;

    /// <summary>Opens the night of a plan.</summary>
    /// <param name="plans">The plans.</param>
    /// <param name="files">The files of their task graphs.</param>
    /// <param name="own">The plan's own key.</param>
    public NightSession(PlanStore plans, JobFileStore files, Guid own)
    {
        (_plans, _files, _own) = (plans, files, own);
        _plans.Changed += OnStored;
    }

    /// <summary>Raised, on any thread, whenever something shown has changed.</summary>
    public event Action? Changed;

    /// <summary>Raised, on any thread, once plans the night refers to have been looked up.</summary>
    public event Action<NightPlans>? Read;

    /// <summary>The plans that can be taken into the night, by name; null before they have been listed.</summary>
    public ImmutableArray<StoredPlan>? Choices { get; private set; }

    /// <summary>What was found of the plans referred to.</summary>
    public NightPlans Known
    {
        get
        {
            lock (_lock)
            {
                return new NightPlans(_own, _known);
            }
        }
    }

    /// <summary>What went wrong on our side while looking plans up; null where nothing did.</summary>
    public Exception? Fault { get; private set; }

    /// <summary>Looks up the plans a draft's night refers to, unless they have been.</summary>
    /// <param name="draft">The draft.</param>
    public void Open(PlanDraft draft)
    {
        ImmutableArray<Guid> wanted = [.. draft.NightJobs.Select(job => Guid.TryParse(job.Plan, out Guid key) ? key : Guid.Empty).Where(key => key != Guid.Empty).Distinct()];
        lock (_lock)
        {
            if (wanted.SequenceEqual(_wanted))
                return;
            _wanted = wanted;
        }

        Begin(wanted, again: false);
    }

    /// <summary>Looks all of them up again, and lists the plans that can be taken in.</summary>
    public void Again()
    {
        ImmutableArray<Guid> wanted;
        lock (_lock)
        {
            wanted = _wanted;
        }

        Begin(wanted, again: true, list: true);
    }

    /// <summary>Lists the plans that can be taken in.</summary>
    public void List() => Begin([], again: false, list: true);

    /// <summary>Completes when the work begun so far has ended.</summary>
    public Task WhenSettledAsync()
    {
        lock (_lock)
        {
            return _work;
        }
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        _plans.Changed -= OnStored;
        Changed = null;
        Read = null;
        lock (_lock)
        {
            if (_isDisposed)
                return;
            _isDisposed = true;
        }

        await _closing.CancelAsync();
        await WhenSettledAsync();
        _closing.Dispose();
    }

    private void OnStored(Guid plan)
    {
        lock (_lock)
        {
            if (!_wanted.Contains(plan))
                return;
        }

        Begin([plan], again: true);
    }

    private void Begin(ImmutableArray<Guid> plans, bool again, bool list = false)
    {
        lock (_lock)
        {
            if (_isDisposed)
                return;
            Task before = _work;
            CancellationToken cancellation = _closing.Token;
            _work = Task.Run(() => WorkAsync(plans, again, list, before, cancellation), CancellationToken.None);
        }
    }

    private async Task WorkAsync(ImmutableArray<Guid> plans, bool again, bool list, Task before, CancellationToken cancellation)
    {
        await before;
        try
        {
            if (list)
            {
                ImmutableArray<StoredPlan> all = await _plans.ListAsync(cancellationToken: cancellation);
                Choices = [.. all.Where(plan => plan.Id != _own && plan.Draft is not null).OrderBy(plan => plan.Name, StringComparer.CurrentCultureIgnoreCase).ThenBy(plan => plan.Id)];
            }

            bool found = false;
            foreach (Guid key in plans)
            {
                NightPlan? known;
                lock (_lock)
                {
                    known = _known.GetValueOrDefault(key);
                }

                if (known is not null && !again)
                    continue;
                NightPlan plan = await FindAsync(key, cancellation);
                lock (_lock)
                {
                    _known = _known.SetItem(key, plan);
                }

                found = true;
            }

            Fault = null;
            if (found)
                Read?.Invoke(Known);
        }
        catch (OperationCanceledException)
        {
            // The page has gone.
            return;
        }
        catch (Exception fault)
        {
            Fault = fault;
        }

        Changed?.Invoke();
    }

    private async Task<NightPlan> FindAsync(Guid key, CancellationToken cancellation)
    {
        StoredPlan? stored = await _plans.FindAsync(key, cancellation);
        if (stored is null)
            return NightPlan.Gone;
        if (stored.Draft is not { } draft)
            return NightPlan.Unreadable(stored.Name);
        return NightPlan.Of(draft, await GraphOfAsync(draft, cancellation));
    }

    private async Task<DraftGraph?> GraphOfAsync(PlanDraft draft, CancellationToken cancellation)
    {
        if (draft.GraphFile.Length == 0)
            return null;
        await using Stream? stream = await _files.OpenAsync(draft.GraphFile, cancellation);
        if (stream is null)
            return null;
        using var text = new StreamReader(stream);
        return new DraftGraph(draft.GraphFile, "", await TaskGraphReader.ReadAsync(text, null, cancellation));
    }
}
