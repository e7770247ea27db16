using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Planning;

public sealed class SimulationEffortTests
{
    [Fact]
    public void Steps_OfDrawnUnits_GrowWithUnitsAndReplicates()
    {
        double Steps(TaskSizes sizes, long units, int replicates) =>
            SimulationEffort.Steps(new JobStructure([new SerialPhase("read", 1), new ParallelPhase("grid", units, sizes)]), [new WorkerPool(4)], replicates);

        var drawn = new LognormalSizes(-9, 1);
        Assert.InRange(Steps(drawn, 1_000_000, 10), 1e7, 1.1e7);
        Assert.Equal(2, Steps(drawn, 1_000_000, 20) / Steps(drawn, 1_000_000, 10), 1e-9);
        Assert.True(Steps(new ConstantSizes(1e-4), 10_000_000_000, 10) < 1e6);
        Assert.True(Steps(new ExponentialSizes(1e-4), 10_000_000_000, 10) < 1e6);
        Assert.True(Steps(new ExponentialSizes(1e-4), 1_000_000, 10) >= 1e7);
    }

    [Theory]
    [InlineData(4, 1_000)]
    [InlineData(64, 100_000)]
    [InlineData(512, 1_000_000_000)]
    public void Steals_AreNoMoreThanCountedWith(int workers, long units)
    {
        var phase = new ParallelPhase("grid", units, new ConstantSizes(1e-5), 1, new SchedulingCosts { StealAttemptSeconds = 1e-9, StealSeconds = 0 });
        var job = new JobStructure([phase]);
        SimulatedPool pool = PoolSimulation.Run(job, [new WorkerPool(workers)], new SimulationSettings { Replicates = 3 })[0];

        Assert.True(40 * pool.Steals.Mean <= SimulationEffort.Steps(job, [new WorkerPool(workers)], 1));
    }
}
