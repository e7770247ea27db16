using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Planning;

public sealed class StructureSimulationTests
{
    private static readonly JobStructure s_job = new([new SerialPhase("read", 1e-3), new ParallelPhase("grid", 200, new UniformSizes(1e-5, 3e-4))]);

    [Fact]
    public void Pools_DoubleFromOneToAThousandWorkersWithACoreEach()
    {
        Assert.Equal([1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024], StructureSimulation.Pools.Select(pool => pool.Workers));
        Assert.All(StructureSimulation.Pools, pool => Assert.Equal(1, pool.WorkerSpeed));
    }

    [Fact]
    public void Run_OnAnyNumberOfThreads_GivesTheSameRunsOnEveryPool()
    {
        IReadOnlyList<SimulatedPool> one = StructureSimulation.Run(s_job, seed: 5, threads: 1), three = StructureSimulation.Run(s_job, seed: 5, threads: 3);

        Assert.Equal(StructureSimulation.Pools, one.Select(pool => pool.Pool));
        Assert.All(one, pool => Assert.Equal(StructureSimulation.Replicates, pool.Runs.Count));
        Assert.Equal(one.SelectMany(pool => pool.Runs), three.SelectMany(pool => pool.Runs));
        Assert.NotEqual(one[3].Runs, StructureSimulation.Run(s_job, seed: 6, threads: 1)[3].Runs);
    }

    [Fact]
    public void Run_IsTheBeginningOfALongerOne()
    {
        IReadOnlyList<SimulatedPool> longer = PoolSimulation.Run(s_job, StructureSimulation.Pools, new SimulationSettings { Replicates = 60, Seed = 5 });

        Assert.Equal(
            longer.SelectMany(pool => pool.Runs.Take(StructureSimulation.Replicates)), StructureSimulation.Run(s_job, seed: 5, threads: 2).SelectMany(pool => pool.Runs));
    }

    [Fact]
    public void Run_TellsItsProgress_AndEndsWhenCancelled()
    {
        using var cancellation = new CancellationTokenSource();
        var told = new List<int>();
        var progress = new Telling(so =>
        {
            told.Add(so.Completed);
            Assert.Equal(StructureSimulation.Replicates, so.Replicates);
            if (so.Completed >= 4)
                cancellation.Cancel();
        });

        Assert.ThrowsAny<OperationCanceledException>(() => StructureSimulation.Run(s_job, 1, 1, progress, cancellation.Token));
        Assert.Equal([1, 2, 4], told);
    }

    [Fact]
    public void Steps_CountAllPoolsAndReplicates()
    {
        Assert.Equal(SimulationEffort.Steps(s_job, StructureSimulation.Pools, StructureSimulation.Replicates), StructureSimulation.Steps(s_job));
        var wider = new JobStructure([new ParallelPhase("grid", 2_000_000, new UniformSizes(1e-5, 3e-4))]);
        Assert.True(StructureSimulation.Steps(wider) - StructureSimulation.Steps(s_job) > 2e6 * StructureSimulation.Replicates * 0.99);
    }

    private sealed class Telling(Action<SimulationProgress> tell) : IProgress<SimulationProgress>
    {
        public void Report(SimulationProgress value) => tell(value);
    }
}
