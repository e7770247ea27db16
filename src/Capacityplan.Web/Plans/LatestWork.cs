namespace Capacityplan.Web.Plans;

/// <summary>
/// Work away from the caller's thread, of which only the latest counts: what begins later stops what is under way, waits for its end, and
/// is the only one that may show anything.
/// </summary>
internal sealed class LatestWork : IAsyncDisposable
{
    private Turn? _running;
    private Task _work = Task.CompletedTask;

    /// <summary>Raised, on any thread but a quiet one and outside <see cref="Gate"/>, after something shown has changed.</summary>
    public event Action? Changed;

    /// <summary>Guards what the work shows, and what is asked of it.</summary>
    public Lock Gate { get; } = new();

    /// <summary>True once nothing begins any more.</summary>
    public bool IsDisposed { get; private set; }

    /// <summary>Begins work in the place of what is under way.</summary>
    /// <param name="work">The work.</param>
    /// <param name="failed">Shows what went wrong on our side.</param>
    /// <param name="stopped">Shows that the work gave up by itself; null where it does not.</param>
    /// <param name="rest">It begins after so long, unless it is overtaken before; null for at once.</param>
    /// <param name="on">Whose threads do the work; null for the usual ones.</param>
    public void Begin(
        Func<Turn, Task> work, Action<Exception> failed, Action? stopped = null, (TimeSpan Time, TimeProvider Clock)? rest = null, TaskScheduler? on = null)
    {
        if (on is not null)
        {
            Func<Turn, Task> there = work;
            work = turn => Task.Factory.StartNew(() => there(turn), turn.Cancellation, TaskCreationOptions.DenyChildAttach, on).Unwrap();
        }

        lock (Gate)
        {
            Drop();
            if (IsDisposed)
                return;
            var turn = new Turn(this);
            _running = turn;
            Task before = _work;
            _work = Task.Run(() => RunAsync(turn, before, work, failed, stopped, rest));
        }
    }

    /// <summary>Begins work that never waits, likewise.</summary>
    public void Begin(Action<Turn> work, Action<Exception> failed, (TimeSpan Time, TimeProvider Clock)? rest = null, TaskScheduler? on = null) => Begin(
        turn =>
        {
            work(turn);
            return Task.CompletedTask;
        },
        failed, stopped: null, rest, on);

    /// <summary>Stops the work under way, which shows nothing any more.</summary>
    /// <returns>False where there was none.</returns>
    public bool Drop()
    {
        lock (Gate)
        {
            if (_running is not { } running)
                return false;
            running.Cancel();
            _running = null;
            return true;
        }
    }

    /// <summary>Completes when the work begun so far has ended.</summary>
    public Task WhenSettledAsync()
    {
        lock (Gate)
        {
            return _work;
        }
    }

    /// <summary>Raises <see cref="Changed"/> for a change shown by other than the work.</summary>
    public void RaiseChanged()
    {
        // A page drawn by a quiet thread would keep its own keystrokes waiting.
        if (QuietThreads.IsHere)
            Task.Run(() => Changed?.Invoke()).GetAwaiter().GetResult();
        else
            Changed?.Invoke();
    }

    /// <summary>Stops the work, and waits for its end; nobody is told of a change any more.</summary>
    public async ValueTask DisposeAsync()
    {
        Changed = null;
        lock (Gate)
        {
            IsDisposed = true;
            Drop();
        }

        await WhenSettledAsync();
    }

    private async Task RunAsync(
        Turn turn, Task before, Func<Turn, Task> work, Action<Exception> failed, Action? stopped, (TimeSpan Time, TimeProvider Clock)? rest)
    {
        try
        {
            if (rest is var (time, clock) && time > TimeSpan.Zero)
                await Task.Delay(time, clock, turn.Cancellation).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
            // One piece of work at a time: the one before was told to stop and ends within milliseconds. It shows its faults itself.
            await before;
            turn.Cancellation.ThrowIfCancellationRequested();
            await work(turn);
        }
        catch (OperationCanceledException)
        {
            // Overtaken or dropped, this shows nothing.
            if (stopped is not null)
                turn.Show(stopped);
        }
        catch (Exception fault)
        {
            turn.Show(() => failed(fault));
        }
        finally
        {
            lock (Gate)
            {
                if (_running == turn)
                    _running = null;
            }

            turn.Dispose();
        }
    }

    /// <summary>One piece of work, while it is the latest.</summary>
    internal sealed class Turn(LatestWork owner) : IDisposable
    {
        private readonly CancellationTokenSource _source = new();

        /// <summary>Cancelled once something later has begun.</summary>
        public CancellationToken Cancellation => _source.Token;

        /// <summary>Shows a change, unless something later has begun.</summary>
        /// <param name="change">Makes it.</param>
        /// <param name="tell">Tells of it; null where <see cref="Changed"/> does.</param>
        /// <returns>False where it has; nothing was changed then.</returns>
        public bool Show(Action change, Action? tell = null)
        {
            lock (owner.Gate)
            {
                if (owner._running != this)
                    return false;
                change();
            }

            if (tell is null)
                owner.RaiseChanged();
            else
                tell();
            return true;
        }

        /// <summary>Shows how far the work is, on the working thread and in order; <see cref="Progress{T}"/> would post reports that overtake
        /// each other.</summary>
        /// <param name="show">Shows it.</param>
        /// <param name="isWorthIt">Whether it is worth a redraw; null for always.</param>
        public IProgress<T> Tell<T>(Action<T> show, Func<T, bool>? isWorthIt = null) => new Told<T>(value =>
        {
            if (isWorthIt?.Invoke(value) != false)
                Show(() => show(value));
        });

        public void Cancel() => _source.Cancel();

        public void Dispose() => _source.Dispose();
    }

    private sealed class Told<T>(Action<T> tell) : IProgress<T>
    {
        public void Report(T value) => tell(value);
    }
}
