using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Plans;

/// <summary>
/// What could change an answer: growth, and what the answer rests on. Worked out after the answer has been shown, away from
/// the caller's thread, and dropped when there is another answer.
/// </summary>
/// <param name="clock">The clock.</param>
/// <param name="rest">It begins once nothing else has been answered for so long.</param>
public sealed class OutlookSession(TimeProvider clock, TimeSpan rest) : IAsyncDisposable
{
    /// <summary>Long enough for the answer to be drawn first, and for the next keystroke to come.</summary>
    public static readonly TimeSpan UsualRest = TimeSpan.FromMilliseconds(300);

    private readonly Lock _lock = new();
    private CancellationTokenSource? _running;
    private Task _work = Task.CompletedTask;
    private PlanResult? _shown;

    /// <summary>Raised, on any thread, whenever something shown has changed.</summary>
    public event Action? Changed;

    /// <summary>What growth does; null before it is first known, or where there is no answer.</summary>
    public GrowthOutlook? Growth { get; private set; }

    /// <summary>What the answer rests on; likewise.</summary>
    public Sensitivity? Sensitivity { get; private set; }

    /// <summary>How much of the work is done, from 0 to 1; null where none is under way.</summary>
    public double? Progress { get; private set; }

    /// <summary>True where the work was stopped, by the person or by a fault; what had come in stands.</summary>
    public bool IsStopped { get; private set; }

    /// <summary>What went wrong on our side; null where nothing did.</summary>
    public Exception? Fault { get; private set; }

    /// <summary>Takes an answer.</summary>
    /// <param name="result">The answer.</param>
    /// <param name="scaling">How its job scales.</param>
    public void Show(PlanResult result, ScalingForecast scaling)
    {
        lock (_lock)
        {
            if (ReferenceEquals(_shown, result))
                return;
            _shown = result;
            Begin(result, scaling);
        }
    }

    /// <summary>Stops the work under way.</summary>
    public void Stop()
    {
        lock (_lock)
        {
            _running?.Cancel();
            _running = null;
            (Progress, IsStopped) = (null, true);
        }

        Changed?.Invoke();
    }

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
        Changed = null;
        Task work;
        lock (_lock)
        {
            _running?.Cancel();
            _running = null;
            work = _work;
        }

        await work;
    }

    private void Begin(PlanResult result, ScalingForecast scaling)
    {
        _running?.Cancel();
        var source = new CancellationTokenSource();
        _running = source;
        (Progress, IsStopped) = (0, false);
        Task before = _work;
        _work = Task.Run(() => WorkAsync(result, scaling, before, source));
    }

    private async Task WorkAsync(PlanResult result, ScalingForecast scaling, Task before, CancellationTokenSource source)
    {
        CancellationToken cancellation = source.Token;
        try
        {
            if (rest > TimeSpan.Zero)
                await Task.Delay(rest, clock, cancellation);
            await before;
            GrowthOutlook growth = GrowthOutlook.Of(result, scaling, cancellation);
            Publish(source, () => Growth = growth);
            Sensitivity? sensitivity = Sensitivity.Of(result, scaling, new Telling(this, source), cancellation);
            Publish(source, () => (Sensitivity, Progress, Fault) = (sensitivity, null, null));
        }
        catch (OperationCanceledException)
        {
            // Overtaken by another answer, or stopped by the person.
        }
        catch (Exception fault)
        {
            Publish(source, () => (Fault, Progress, IsStopped) = (fault, null, true));
        }
        finally
        {
            lock (_lock)
            {
                if (_running == source)
                    _running = null;
            }

            source.Dispose();
        }
    }

    /// <summary>Shows a change, unless another answer has overtaken it.</summary>
    private void Publish(CancellationTokenSource source, Action change)
    {
        lock (_lock)
        {
            if (_running != source)
                return;
            change();
        }

        Changed?.Invoke();
    }

    private sealed class Telling(OutlookSession session, CancellationTokenSource source) : IProgress<double>
    {
        private double _told;

        // Every tenth is enough to see that it moves; each costs a redraw.
        public void Report(double value)
        {
            if (value < _told + 0.1)
                return;
            _told = value;
            session.Publish(source, () => session.Progress = value);
        }
    }
}
