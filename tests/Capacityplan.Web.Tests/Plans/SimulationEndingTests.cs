using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;
using Capacityplan.Web.Plans;
using Microsoft.Extensions.Time.Testing;

namespace Capacityplan.Web.Tests.Plans;

/// <summary>How a simulation ends before it is done or waits for others, and what is left of it.</summary>
public sealed class SimulationEndingTests : IDisposable
{
    private static readonly SimulationOrder s_order = SimulatedJobs.Order;

    private readonly SimulationTurns _turns = new();
    private readonly FakeTimeProvider _clock = new();

    public void Dispose() => _turns.Dispose();

    [Fact]
    public async Task Stop_LeavesWhatCameIn_AndGoingOnFinishesIt()
    {
        await using SimulationSession session = Session();
        int most = 0;
        bool stopped = false;
        session.Changed += () =>
        {
            int runs = session.Detail?.Runs.Count ?? 0;
            Assert.True(runs >= most, $"{runs} runs after {most}.");
            most = runs;
            if (!stopped && runs >= 64)
            {
                stopped = true;
                session.Stop();
            }
        };

        session.Show(s_order);
        await session.WhenSettledAsync();

        Assert.Equal(SimulationStage.Stopped, session.Stage);
        Assert.Null(session.Fault);
        Assert.InRange(session.Detail!.Runs.Count, 64, SimulationSession.Replicates - 1);
        Assert.Equal(StructureSimulation.Pools, session.Curve.Select(pool => pool.Pool));
        Assert.Null(session.Picture);

        session.Resume();
        await session.WhenSettledAsync();

        Assert.Null(session.Fault);
        Assert.Equal(SimulationStage.Done, session.Stage);
        SimulatedJobs.AssertWhole(session, s_order);
    }

    [Fact]
    public async Task Stop_AmongTheSplits_LeavesThoseRuns()
    {
        await using SimulationSession session = Session();
        void StopThere()
        {
            if (session.Grain is { Completed: >= 2 })
                session.Stop();
        }

        session.Changed += StopThere;
        session.Show(s_order);
        await session.WhenSettledAsync();

        GrainCurve left = session.Grain!;
        Assert.Equal(SimulationStage.Stopped, session.Stage);
        Assert.InRange(left.Completed, 2, SimulationSession.SplitReplicates - 1);
        Assert.NotNull(session.Picture);

        session.Changed -= StopThere;
        session.Changed += () => Assert.True(session.Grain!.Completed >= left.Completed);
        session.Resume();
        await session.WhenSettledAsync();
        Assert.Null(session.Fault);
        SimulatedJobs.AssertWhole(session, s_order);
    }

    [Fact]
    public async Task StopAndResume_WithNothingUnderWay_DoNothing()
    {
        await using SimulationSession session = await ShownAsync(s_order);
        RunPicture? picture = session.Picture;

        session.Stop();
        Assert.Equal(SimulationStage.Done, session.Stage);
        session.Resume();
        await session.WhenSettledAsync();

        Assert.Equal(SimulationStage.Done, session.Stage);
        Assert.Same(picture, session.Picture);
    }

    [Fact]
    public async Task Simulation_OutOfPatience_LeavesWhatCameIn()
    {
        await using SimulationSession session = Session();
        session.Changed += () =>
        {
            if (session.Detail is { Runs.Count: >= 4 })
                _clock.Advance(TimeSpan.FromSeconds(46));
        };

        session.Show(s_order);
        await session.WhenSettledAsync();

        Assert.Equal(SimulationStage.Stopped, session.Stage);
        Assert.Null(session.Fault);
        Assert.InRange(session.Detail!.Runs.Count, 4, SimulationSession.Replicates - 1);
    }

    [Fact]
    public async Task Simulation_ThatFails_ShowsItsFaultUntilTheNextOrder()
    {
        // No page asks for the split of a serial phase; the simulation refuses it.
        await using SimulationSession session = await ShownAsync(s_order with { SplitPhase = 0 });

        Assert.NotNull(session.Fault);
        Assert.Equal(SimulationStage.Stopped, session.Stage);
        Assert.Equal(SimulationSession.Replicates, session.Detail!.Runs.Count);

        session.Show(s_order);
        await session.WhenSettledAsync();
        Assert.Null(session.Fault);
        SimulatedJobs.AssertWhole(session, s_order);
    }

    [Fact]
    public async Task Sessions_ShareTheTurns()
    {
        using var gate = new ManualResetEventSlim();
        Task<bool>[] held = [Hold(gate), Hold(gate)];
        await using SimulationSession one = Session(), other = Session();

        one.Show(s_order);
        other.Show(s_order with { Pool = new WorkerPool(4) });
        other.Stop();
        await other.WhenSettledAsync();
        Assert.Equal(SimulationStage.Stopped, other.Stage);
        other.Resume();
        Assert.Equal(SimulationStage.InLine, one.Stage);
        Assert.Equal(SimulationStage.InLine, other.Stage);
        Assert.Empty(one.Curve);

        gate.Set();
        await Task.WhenAll([.. held, one.WhenSettledAsync(), other.WhenSettledAsync()]);
        Assert.Equal(SimulationStage.Done, one.Stage);
        Assert.Equal(SimulationStage.Done, other.Stage);
        SimulatedJobs.AssertSame(one.Curve, other.Curve);
    }

    [Fact]
    public async Task Turns_AreTwo_AndTheThirdWaits()
    {
        using var gate = new ManualResetEventSlim();
        Task<bool>[] held = [Hold(gate), Hold(gate)];
        bool ran = false;
        Task third = _turns.TakeAsync(() => ran = true, CancellationToken.None);
        using var left = new CancellationTokenSource();
        Task gone = _turns.TakeAsync(() => true, left.Token);

        Assert.False(third.IsCompleted);
        Assert.False(ran);
        await left.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => gone);

        gate.Set();
        await Task.WhenAll([.. held, third]);
        Assert.True(ran);
        await Assert.ThrowsAsync<InvalidTimeZoneException>(() => _turns.TakeAsync<bool>(() => throw new InvalidTimeZoneException(), CancellationToken.None));
        Assert.True(await _turns.TakeAsync(() => true, CancellationToken.None));
    }

    [Fact]
    public async Task Dispose_WaitsForTheWork_AndBeginsNoMore()
    {
        SimulationSession session = Session();
        bool isWithin = false;
        var begun = new TaskCompletionSource();
        using var gate = new ManualResetEventSlim();
        session.Changed += () =>
        {
            if (session.Curve.Count == 0)
                return;
            isWithin = true;
            begun.TrySetResult();
            gate.Wait();
            isWithin = false;
        };
        session.Show(s_order);
        await begun.Task;

        ValueTask disposal = session.DisposeAsync();
        Assert.False(disposal.IsCompleted);
        gate.Set();
        await disposal;
        Assert.False(isWithin);

        // A page's last answer may come in while the page goes.
        Task settled = session.WhenSettledAsync();
        session.Show(s_order with { Pool = new WorkerPool(4) });
        session.Resume();
        Assert.Same(settled, session.WhenSettledAsync());
        Assert.Equal(s_order, session.Order);
        await session.DisposeAsync();
    }

    private Task<bool> Hold(ManualResetEventSlim gate) => _turns.TakeAsync(
        () =>
        {
            gate.Wait();
            return true;
        },
        CancellationToken.None);

    private SimulationSession Session() => new(_turns, new(), _clock, TimeSpan.Zero);

    private Task<SimulationSession> ShownAsync(SimulationOrder order) => SimulatedJobs.ShownAsync(Session(), order);
}
