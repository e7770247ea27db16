using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Web.Plans;

/// <summary>How far a simulation has come.</summary>
public enum SimulationStage
{
    /// <summary>There is nothing to simulate.</summary>
    None,

    /// <summary>Others are simulated first.</summary>
    InLine,

    /// <summary>Runs come in.</summary>
    Working,

    /// <summary>It was stopped, by the person or because it took too long; what had come in stands.</summary>
    Stopped,

    /// <summary>All runs are in.</summary>
    Done,
}

/// <summary>What is simulated of a job.</summary>
/// <param name="Structure">The job's phases.</param>
/// <param name="Pool">The pool looked at in detail.</param>
/// <param name="SplitPhase">The phase whose split size is varied: the place of a parallel one, from 0; null where there is none.</param>
public sealed record SimulationOrder(JobStructure Structure, WorkerPool Pool, int? SplitPhase)
{
    /// <summary>True where another order is for the same job.</summary>
    public bool IsForTheJobOf(SimulationOrder? other) => other is not null && Structure.Phases.SequenceEqual(other.Structure.Phases);

    /// <summary>Orders are equal when they ask for the same.</summary>
    public bool Equals(SimulationOrder? other) => IsForTheJobOf(other) && Pool == other!.Pool && SplitPhase == other.SplitPhase;

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(Structure.WorkSeconds, Pool, SplitPhase);
}

/// <summary>
/// Simulates the job of a plan away from the caller's thread: over core counts, on one pool in detail, one run as a picture,
/// and by split size. What has come in is shown at once; work whose input has changed is dropped.
/// </summary>
/// <param name="turns">Whose turn it is.</param>
/// <param name="memory">What has been simulated already; it is shown at once.</param>
/// <param name="clock">The clock.</param>
/// <param name="rest">A simulation begins once nothing else has been asked for so long.</param>
public sealed class SimulationSession(SimulationTurns turns, SimulationMemory memory, TimeProvider clock, TimeSpan rest) : IAsyncDisposable
{
    /// <summary>Long enough for the page to be redrawn first, and for the next keystroke to come.</summary>
    public static readonly TimeSpan UsualRest = TimeSpan.FromMilliseconds(400);

    /// <summary>Runs on the pool looked at; over core counts there are those a forecast rests on, <see cref="StructureSimulation.Replicates"/>.</summary>
    public const int Replicates = 200;

    /// <summary>Runs with each split size.</summary>
    public const int SplitReplicates = 40;

    private const int Seed = 1;

    /// <summary>A simulation that takes longer is stopped with what it has.</summary>
    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(45);

    private readonly LatestWork _work = new();
    private SimulationOrder? _asked;
    private SimulationOrder? _refinedFor;

    /// <summary>Raised, on any thread, whenever something shown has changed.</summary>
    public event Action? Changed
    {
        add => _work.Changed += value;
        remove => _work.Changed -= value;
    }

    /// <summary>Raised, on any thread, once the runs that a forecast of a job rests on are in.</summary>
    public event Action<JobStructure, IReadOnlyList<SimulatedPool>>? Refined;

    /// <summary>What is shown, whole or as far as it has come; null where there is nothing to simulate.</summary>
    public SimulationOrder? Order { get; private set; }

    /// <summary>How far it has come.</summary>
    public SimulationStage Stage { get; private set; }

    /// <summary>Runs over core counts, by workers, each worker with a core to itself; empty before the first.</summary>
    public IReadOnlyList<SimulatedPool> Curve { get; private set; } = [];

    /// <summary>Runs on the pool looked at; null before the first.</summary>
    public SimulatedPool? Detail { get; private set; }

    /// <summary>A run of about the median time on the pool looked at, worker by worker; null before it is there.</summary>
    public RunPicture? Picture { get; private set; }

    /// <summary>Run time by split size; null before it is there.</summary>
    public GrainCurve? Grain { get; private set; }

    /// <summary>What went wrong on our side; null where nothing did.</summary>
    public Exception? Fault { get; private set; }

    /// <summary>
    /// Takes what is to be simulated; nothing happens where it is what was asked for last. The first order is shown at once, and
    /// so is one that was simulated before; another takes its place after a rest, so that it is not begun with every keystroke.
    /// </summary>
    /// <param name="order">The job and the pool; null for none.</param>
    public void Show(SimulationOrder? order)
    {
        IReadOnlyList<SimulatedPool>? refined = null;
        lock (_work.Gate)
        {
            if (_work.IsDisposed || Equals(order, _asked))
                return;
            bool isFirst = Order is null;
            _asked = order;
            bool isKnown = order is not null && memory.LookOf(order, Seed) is not null;
            if (order is null || isFirst || isKnown)
                refined = TakeUp(order);
            _work.Drop();
            if (!isKnown)
                Begin();
        }

        if (refined is not null)
            Refined?.Invoke(order!.Structure, refined);
        _work.RaiseChanged();
    }

    /// <summary>Stops the work under way; what has come in stands.</summary>
    public void Stop()
    {
        lock (_work.Gate)
        {
            if (!_work.Drop())
                return;
            Stage = SimulationStage.Stopped;
        }

        _work.RaiseChanged();
    }

    /// <summary>Goes on after a stop.</summary>
    public void Resume()
    {
        lock (_work.Gate)
        {
            if (_work.IsDisposed || Stage != SimulationStage.Stopped)
                return;
            Begin();
        }

        _work.RaiseChanged();
    }

    /// <summary>Completes when the work begun so far has ended.</summary>
    public Task WhenSettledAsync() => _work.WhenSettledAsync();

    /// <inheritdoc/>
    public ValueTask DisposeAsync()
    {
        Refined = null;
        return _work.DisposeAsync();
    }

    /// <summary>Shows what is known of an order; what is not stays empty until it is simulated.</summary>
    /// <returns>The runs over core counts where they were known and have not been told of; null otherwise.</returns>
    private IReadOnlyList<SimulatedPool>? TakeUp(SimulationOrder? order)
    {
        bool sameJob = order is not null && order.IsForTheJobOf(Order);
        Order = order;
        (Detail, Picture, Grain, Fault) = (null, null, null, null);
        if (!sameJob)
            (Curve, _refinedFor) = ([], null);
        if (order is null)
            return null;

        IReadOnlyList<SimulatedPool>? refined = null;
        if (!order.IsForTheJobOf(_refinedFor) && memory.CurveOf(order.Structure, Seed) is { } curve)
            (Curve, _refinedFor, refined) = (curve, order, curve);
        if (_refinedFor is not null && memory.LookOf(order, Seed) is { } look)
            (Detail, Picture, Grain, Stage) = (look.Detail, look.Picture, look.Grain, SimulationStage.Done);
        return refined;
    }

    private void Begin()
    {
        _work.Drop();
        if (_asked is not { } order)
        {
            Stage = SimulationStage.None;
            return;
        }

        Stage = SimulationStage.InLine;
        // Out of patience, what has come in stands.
        _work.Begin(
            turn => WorkAsync(order, turn), fault => (Fault, Stage) = (fault, SimulationStage.Stopped),
            stopped: () => Stage = SimulationStage.Stopped, rest: (rest, clock));
    }

    private async Task WorkAsync(SimulationOrder order, LatestWork.Turn turn)
    {
        IReadOnlyList<SimulatedPool>? refined = null;
        bool isThere = false;
        turn.Show(() =>
        {
            if (order != Order || memory.LookOf(order, Seed) is not null)
                refined = TakeUp(order);
            isThere = Stage == SimulationStage.Done;
        });
        if (refined is not null)
            Refined?.Invoke(order.Structure, refined);
        if (isThere)
            return;

        await turns.TakeAsync(
            () =>
            {
                // Patience lasts from when it is seen to work.
                turn.Show(() => Stage = SimulationStage.Working);
                using var patience = new CancellationTokenSource(s_patience, clock);
                using var either = CancellationTokenSource.CreateLinkedTokenSource(turn.Cancellation, patience.Token);
                Simulate(order, turn, either.Token);
                return true;
            },
            turn.Cancellation);
        turn.Show(() => Stage = SimulationStage.Done);
    }

    private void Simulate(SimulationOrder order, LatestWork.Turn turn, CancellationToken cancellation)
    {
        if (!order.IsForTheJobOf(_refinedFor))
        {
            IReadOnlyList<SimulatedPool> curve = StructureSimulation.Run(
                order.Structure, Seed, SimulationTurns.Threads, turn.Tell<SimulationProgress>(so => Curve = so.SoFar), cancellation);
            memory.Keep(order.Structure, Seed, curve);
            turn.Show(() => (_refinedFor, Curve) = (order, curve));
            if (order == _refinedFor)
                Refined?.Invoke(order.Structure, curve);
        }

        IReadOnlyList<SimulatedPool> detail = PoolSimulation.Run(
            order.Structure, [order.Pool], Settings(Replicates),
            turn.Tell<SimulationProgress>(so => Look(so.SoFar[0])), cancellation);
        turn.Show(() => Look(detail[0]));
        cancellation.ThrowIfCancellationRequested();
        RunPicture picture = RunPicture.Of(order.Structure, order.Pool, Seed, detail[0].TypicalReplicate, cancellation: cancellation);
        turn.Show(() => Picture = picture);
        GrainCurve? grain = null;
        if (order.SplitPhase is { } phase)
        {
            grain = GrainCurve.Simulate(
                order.Structure, phase, order.Pool, Grains((ParallelPhase)order.Structure.Phases[phase], order.Pool), Settings(SplitReplicates),
                turn.Tell<GrainCurve>(Split), cancellation);
            turn.Show(() => Split(grain));
        }

        cancellation.ThrowIfCancellationRequested();
        memory.Keep(new SimulatedLook(order, detail[0], picture, grain), Seed);

        // Work that goes on after a stop begins with the first run again; what had come in stands until it is overtaken.
        void Look(SimulatedPool pool)
        {
            if (pool.Runs.Count >= (Detail?.Runs.Count ?? 0))
                Detail = pool;
        }

        void Split(GrainCurve so)
        {
            if (so.Completed >= (Grain?.Completed ?? 0))
                Grain = so;
        }
    }

    private static SimulationSettings Settings(int replicates) => new() { Replicates = replicates, Seed = Seed, Threads = SimulationTurns.Threads };

    /// <summary>The usual split sizes and the phase's own, which may be coarser than any of them.</summary>
    private static long[] Grains(ParallelPhase phase, WorkerPool pool) =>
        [.. GrainCurve.UsualGrains(phase.Units, pool.Workers), Math.Min(phase.Grain, phase.Units)];
}
