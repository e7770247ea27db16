using Capacityplan.Core.Stealing;
using Capacityplan.Web.Plans;
using Microsoft.Extensions.Time.Testing;

namespace Capacityplan.Web.Tests.Plans;

/// <summary>What pages share of what they have simulated.</summary>
public sealed class SimulationMemoryTests : IDisposable
{
    private static readonly SimulationOrder s_order = SimulatedJobs.Order;

    private readonly SimulationTurns _turns = new();

    public void Dispose() => _turns.Dispose();

    [Fact]
    public async Task Show_OfWhatAnotherPageSimulated_IsThereAtOnce()
    {
        var memory = new SimulationMemory();
        await using SimulationSession first = Session(memory);
        first.Show(s_order);
        await first.WhenSettledAsync();

        await using SimulationSession second = Session(memory);
        var told = new List<IReadOnlyList<SimulatedPool>>();
        second.Refined += (_, pools) => told.Add(pools);
        second.Show(new SimulationOrder(SimulatedJobs.Job("grid"), new WorkerPool(8), 1));

        Assert.Equal(SimulationStage.Done, second.Stage);
        SimulatedJobs.AssertWhole(second, s_order);
        Assert.Same(first.Curve, Assert.Single(told));
        Assert.Same(first.Picture, second.Picture);
    }

    [Fact]
    public async Task Show_OfAJobAnotherPageSimulatedOnAnotherPool_TakesItsCurveAndLooksItself()
    {
        var memory = new SimulationMemory();
        await using SimulationSession first = Session(memory);
        first.Show(s_order);
        await first.WhenSettledAsync();

        await using SimulationSession second = Session(memory);
        SimulationOrder order = s_order with { Pool = new WorkerPool(5) };
        second.Show(order);
        Assert.Same(first.Curve, second.Curve);
        Assert.Null(second.Detail);
        await second.WhenSettledAsync();

        SimulatedJobs.AssertWhole(second, order);
    }

    [Fact]
    public async Task Memory_KeepsTheJobsUsedLast()
    {
        await using SimulationSession session = Session(new());
        session.Show(s_order);
        await session.WhenSettledAsync();
        var memory = new SimulationMemory();
        for (int job = 0; job < SimulationMemory.Jobs; job++)
            memory.Keep(SimulatedJobs.Job($"job {job}"), 1, session.Curve);
        Assert.Same(session.Curve, memory.CurveOf(SimulatedJobs.Job("job 0"), 1));
        Assert.Null(memory.CurveOf(SimulatedJobs.Job("job 0"), 2));

        memory.Keep(SimulatedJobs.Job("one more"), 1, session.Curve);

        Assert.NotNull(memory.CurveOf(SimulatedJobs.Job("job 0"), 1));
        Assert.Null(memory.CurveOf(SimulatedJobs.Job("job 1"), 1));
        Assert.NotNull(memory.CurveOf(SimulatedJobs.Job("one more"), 1));
    }

    [Fact]
    public async Task Memory_KeepsTheLooksAtAJobTakenLast()
    {
        await using SimulationSession session = Session(new());
        session.Show(s_order);
        await session.WhenSettledAsync();
        var memory = new SimulationMemory();
        SimulatedLook On(int workers) => new(s_order with { Pool = new WorkerPool(workers) }, session.Detail!, session.Picture!, session.Grain);
        memory.Keep(On(1), 1);
        Assert.Null(memory.LookOf(On(1).Order, 1));

        memory.Keep(s_order.Structure, 1, session.Curve);
        for (int workers = 1; workers <= SimulationMemory.LooksOfAJob + 1; workers++)
            memory.Keep(On(workers), 1);

        Assert.Null(memory.LookOf(On(1).Order, 1));
        Assert.NotNull(memory.LookOf(On(2).Order, 1));
        Assert.Null(memory.LookOf(On(2).Order with { SplitPhase = 2 }, 1));
    }

    private SimulationSession Session(SimulationMemory memory) => new(_turns, memory, new FakeTimeProvider(), TimeSpan.Zero);
}
