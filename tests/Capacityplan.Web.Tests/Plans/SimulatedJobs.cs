using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;
using Capacityplan.Web.Plans;

namespace Capacityplan.Web.Tests.Plans;

/// <summary>Jobs to simulate, and what a session has to come to.</summary>
internal static class SimulatedJobs
{
    public static SimulationOrder Order { get; } = new(Job("grid"), new WorkerPool(8), 1);

    public static JobStructure Job(string name) => new(
    [
        new SerialPhase("read", 2e-3),
        new ParallelPhase(name, 500, new ExponentialSizes(1e-4)),
        new ParallelPhase("tiles", 100, new UniformSizes(1e-5, 3e-4), 100),
    ]);

    /// <summary>Shows an order and waits for what comes of it.</summary>
    public static async Task<SimulationSession> ShownAsync(SimulationSession session, SimulationOrder order)
    {
        session.Show(order);
        await session.WhenSettledAsync();
        return session;
    }

    /// <summary>All runs are in, and they are those of the simulation itself.</summary>
    public static void AssertWhole(SimulationSession session, SimulationOrder order)
    {
        var settings = new SimulationSettings { Replicates = SimulationSession.Replicates, Seed = 1, Threads = 1 };
        AssertSame(StructureSimulation.Run(order.Structure, seed: 1, threads: 1), session.Curve);
        AssertSame(PoolSimulation.Run(order.Structure, [order.Pool], settings), [session.Detail!]);
        Assert.Equal(order.Pool, session.Picture!.Pool);
        Assert.Equal(session.Detail!.Runs[session.Detail.TypicalReplicate], session.Picture.Run);
        Assert.Equal(SimulationSession.SplitReplicates, session.Grain!.Completed);
    }

    public static void AssertSame(IReadOnlyList<SimulatedPool> expected, IReadOnlyList<SimulatedPool> actual)
    {
        Assert.Equal(expected.Select(pool => pool.Pool), actual.Select(pool => pool.Pool));
        Assert.Equal(expected.SelectMany(pool => pool.Runs), actual.SelectMany(pool => pool.Runs));
    }
}
