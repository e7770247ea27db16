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

    private readonly LatestWork _work = new();
    private PlanResult? _shown;

    /// <summary>Raised, on any thread, whenever something shown has changed.</summary>
    public event Action? Changed
    {
        add => _work.Changed += value;
        remove => _work.Changed -= value;
    }

    /// <summary>What growth does; null before it is first known, or where there is no answer.</summary>
    public GrowthOutlook? Growth { get; private set; }

    /// <summary>The answer <see cref="Growth"/> is for; null where it is.</summary>
    public PlanResult? GrowthOf { get; private set; }

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
        lock (_work.Gate)
        {
            if (ReferenceEquals(_shown, result))
                return;
            _shown = result;
            (Progress, IsStopped) = (0, false);
            _work.Begin(turn => WorkOut(result, scaling, turn), fault => (Fault, Progress, IsStopped) = (fault, null, true), rest: (rest, clock), QuietThreads.Shared);
        }
    }

    /// <summary>Stops the work under way.</summary>
    public void Stop()
    {
        lock (_work.Gate)
        {
            _work.Drop();
            (Progress, IsStopped) = (null, true);
        }

        _work.RaiseChanged();
    }

    /// <summary>Completes when the work begun so far has ended.</summary>
    public Task WhenSettledAsync() => _work.WhenSettledAsync();

    /// <inheritdoc/>
    public ValueTask DisposeAsync() => _work.DisposeAsync();

    private void WorkOut(PlanResult result, ScalingForecast scaling, LatestWork.Turn turn)
    {
        GrowthOutlook growth = GrowthOutlook.Of(result, scaling, turn.Cancellation);
        turn.Show(() => (Growth, GrowthOf) = (growth, result));
        // Every tenth is enough to see that it moves; each costs a redraw.
        double told = 0;
        IProgress<double> progress = turn.Tell<double>(share => Progress = told = share, share => share >= told + 0.1);
        Sensitivity? sensitivity = Sensitivity.Of(result, scaling, progress, turn.Cancellation);
        turn.Show(() => (Sensitivity, Progress, Fault) = (sensitivity, null, null));
    }
}
