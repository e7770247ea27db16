using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;
using Capacityplan.Web.Plans;
using Microsoft.Extensions.Time.Testing;

namespace Capacityplan.Web.Tests.Plans;

public sealed class SimulationSessionTests : IDisposable
{
    private static readonly SimulationOrder s_order = SimulatedJobs.Order;
    private static readonly JobStructure s_job = s_order.Structure;

    private readonly SimulationTurns _turns = new();
    private readonly FakeTimeProvider _clock = new();

    public void Dispose() => _turns.Dispose();

    [Fact]
    public async Task Show_OfAJob_ComesToAllItsRuns()
    {
        await using SimulationSession session = await ShownAsync(s_order);

        Assert.Equal(SimulationStage.Done, session.Stage);
        Assert.Null(session.Fault);
        SimulatedJobs.AssertWhole(session, s_order);
    }

    [Fact]
    public async Task Show_OfAPoolBetweenThoseOfTheCurve_SimulatesItBesides()
    {
        SimulationOrder order = s_order with { Pool = new WorkerPool(24, 0.6) };
        await using SimulationSession session = await ShownAsync(order);

        SimulatedJobs.AssertWhole(session, order);
        Assert.DoesNotContain(session.Curve, pool => pool.Pool == order.Pool);
    }

    [Fact]
    public async Task Refined_OnceForAJob_WithTheRunsEveryForecastRestsOn()
    {
        await using SimulationSession session = Session();
        var told = new List<(JobStructure Structure, IReadOnlyList<SimulatedPool> Pools)>();
        session.Refined += (structure, pools) => told.Add((structure, pools));

        session.Show(s_order);
        await session.WhenSettledAsync();
        session.Show(s_order with { Pool = new WorkerPool(3) });
        await session.WhenSettledAsync();
        session.Show(s_order with { SplitPhase = 2 });
        await session.WhenSettledAsync();

        (JobStructure structure, IReadOnlyList<SimulatedPool> pools) = Assert.Single(told);
        Assert.Equal(s_job, structure);
        SimulatedJobs.AssertSame(StructureSimulation.Run(s_job, seed: 1, threads: 1), pools);
    }

    [Fact]
    public async Task Show_OfTheSame_ChangesNothing()
    {
        await using SimulationSession session = await ShownAsync(s_order);
        IReadOnlyList<SimulatedPool> curve = session.Curve;
        int changes = 0;
        session.Changed += () => changes++;

        // Read anew from the same blanks, a job is another object that says the same.
        session.Show(new SimulationOrder(SimulatedJobs.Job("grid"), new WorkerPool(8), 1));
        await session.WhenSettledAsync();

        Assert.Equal(0, changes);
        Assert.Equal(SimulationStage.Done, session.Stage);
        Assert.Same(curve, session.Curve);
    }

    [Fact]
    public async Task Show_OfAnotherPool_KeepsTheCurveAndLooksThere()
    {
        await using SimulationSession session = await ShownAsync(s_order);
        IReadOnlyList<SimulatedPool> curve = session.Curve;

        foreach (WorkerPool pool in (WorkerPool[])[new(5), new(16)])
        {
            session.Show(s_order with { Pool = pool });
            await session.WhenSettledAsync();

            Assert.Same(curve, session.Curve);
            SimulatedJobs.AssertWhole(session, s_order with { Pool = pool });
        }
    }

    [Fact]
    public async Task Show_OfAPoolLookedAtBefore_IsThereAtOnce()
    {
        await using SimulationSession session = await ShownAsync(s_order);
        RunPicture picture = session.Picture!;
        session.Show(s_order with { Pool = new WorkerPool(5) });
        await session.WhenSettledAsync();

        session.Show(s_order);

        Assert.Equal(SimulationStage.Done, session.Stage);
        Assert.Same(picture, session.Picture);
        SimulatedJobs.AssertWhole(session, s_order);
    }

    [Fact]
    public async Task Show_OfAPoolLookedAtBefore_DropsTheWorkOnAnother()
    {
        await using SimulationSession session = await ShownAsync(s_order);
        session.Show(s_order with { Pool = new WorkerPool(5) });

        session.Show(s_order);
        await session.WhenSettledAsync();

        Assert.Equal(SimulationStage.Done, session.Stage);
        SimulatedJobs.AssertWhole(session, s_order);
    }

    [Fact]
    public async Task Show_OfAnotherSplitPhase_KeepsTheCurveAndSplitsThatOne()
    {
        await using SimulationSession session = await ShownAsync(s_order);
        IReadOnlyList<SimulatedPool> curve = session.Curve;
        long[] before = [.. session.Grain!.Points.Select(point => point.Grain)];

        session.Show(s_order with { SplitPhase = 2 });
        await session.WhenSettledAsync();

        Assert.Same(curve, session.Curve);
        Assert.Equal([1, 2, 4, 8, 16, 32, 63], before);
        // The second parallel phase is split coarser than a worker's even share: its own split is among those looked at.
        Assert.Equal([1, 2, 4, 8, 13, 100], session.Grain!.Points.Select(point => point.Grain));
    }

    [Fact]
    public async Task Rest_BeforeASimulationBegins_LetsALaterOrderOvertakeIt()
    {
        await using var session = new SimulationSession(_turns, new(), _clock, SimulationSession.UsualRest);
        session.Show(s_order);
        Task first = session.WhenSettledAsync();
        session.Show(s_order with { Pool = new WorkerPool(5) });
        await first;
        Assert.Empty(session.Curve);
        Assert.Equal(SimulationStage.InLine, session.Stage);

        // The clock must not go on once it works, or it runs out of patience.
        while (session.Stage == SimulationStage.InLine)
        {
            _clock.Advance(SimulationSession.UsualRest);
            await Task.Yield();
        }

        await session.WhenSettledAsync();
        SimulatedJobs.AssertWhole(session, s_order with { Pool = new WorkerPool(5) });
    }

    [Fact]
    public async Task Show_OfNothing_ClearsAll()
    {
        await using SimulationSession session = await ShownAsync(s_order);

        session.Show(null);
        await session.WhenSettledAsync();

        Assert.Equal(SimulationStage.None, session.Stage);
        Assert.Empty(session.Curve);
        Assert.Null(session.Order);
        Assert.Null(session.Detail);
        Assert.Null(session.Picture);
        Assert.Null(session.Grain);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task Show_OfAJobShownBefore_SimulatesItInFull(bool anotherBetween)
    {
        await using SimulationSession session = await ShownAsync(s_order);

        session.Show(anotherBetween ? s_order with { Structure = SimulatedJobs.Job("contour") } : null);
        session.Show(s_order);
        await session.WhenSettledAsync();

        Assert.Null(session.Fault);
        Assert.Equal(SimulationStage.Done, session.Stage);
        SimulatedJobs.AssertWhole(session, s_order);
    }

    [Fact]
    public async Task Show_OfAnotherJobMeanwhile_DropsTheFirst()
    {
        SimulationOrder other = s_order with { Structure = SimulatedJobs.Job("contour") };
        await using SimulationSession session = Session();
        var told = new List<JobStructure>();
        session.Refined += (structure, _) => told.Add(structure);
        session.Changed += () =>
        {
            if (session.Order == s_order && session.Curve.Count > 0)
                session.Show(other);
        };

        session.Show(s_order);
        await EndAsync(session);

        Assert.Equal([other.Structure], told);
        Assert.Equal(other, session.Order);
        Assert.Equal(SimulationStage.Done, session.Stage);
        SimulatedJobs.AssertWhole(session, other);
    }

    [Fact]
    public async Task Show_ManyTimesAtOnce_ShowsTheLast()
    {
        await using SimulationSession session = Session();

        for (int workers = 1; workers < 40; workers++)
            session.Show(s_order with { Pool = new WorkerPool(workers) });
        await session.WhenSettledAsync();

        Assert.Equal(SimulationStage.Done, session.Stage);
        SimulatedJobs.AssertWhole(session, s_order with { Pool = new WorkerPool(39) });
    }

    [Fact]
    public void Orders_AreEqual_WhereTheyAskForTheSame()
    {
        var same = new SimulationOrder(SimulatedJobs.Job("grid"), new WorkerPool(8), 1);

        Assert.Equal(s_order, same);
        Assert.Equal(s_order.GetHashCode(), same.GetHashCode());
        Assert.NotEqual(s_order, s_order with { Pool = new WorkerPool(8, 0.5) });
        Assert.NotEqual(s_order, s_order with { SplitPhase = null });
        Assert.NotEqual(s_order, s_order with { Structure = SimulatedJobs.Job("other") });
        Assert.False(s_order.IsForTheJobOf(null));
    }

    /// <summary>Waits until nothing that an event began is under way either.</summary>
    private static async Task EndAsync(SimulationSession session)
    {
        for (Task work = session.WhenSettledAsync(); ; work = session.WhenSettledAsync())
        {
            await work;
            if (work == session.WhenSettledAsync())
                return;
        }
    }

    private SimulationSession Session() => new(_turns, new(), _clock, TimeSpan.Zero);

    private Task<SimulationSession> ShownAsync(SimulationOrder order) => SimulatedJobs.ShownAsync(Session(), order);
}
