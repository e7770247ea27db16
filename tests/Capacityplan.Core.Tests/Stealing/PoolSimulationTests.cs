using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Stealing;

public sealed class PoolSimulationTests
{
    private static readonly JobStructure s_job = new(
    [
        new SerialPhase("read", 2e-3),
        new ParallelPhase("grid", 3000, new LognormalSizes(-12, 1)),
        new ParallelPhase("contour", 2_000_000, new ExponentialSizes(1e-8), 512),
        new ParallelPhase("tiles", 640, new ConstantSizes(1e-5), 1, new SchedulingCosts { WakeSeconds = 2e-5 }),
        new SerialPhase("write", 1e-3),
    ]);

    private static readonly WorkerPool[] s_pools = [new(1), new(4), new(16, 0.625), new(96)];

    [Fact]
    public void Run_AnyNumberOfThreads_GivesTheSameAnswer()
    {
        SimulatedRun[][] Runs(int threads) => [.. PoolSimulation.Run(
            s_job, s_pools, new SimulationSettings { Replicates = 24, Seed = 7, Threads = threads }).Select(pool => pool.Runs.ToArray())];
        SimulatedRun[][] one = Runs(1);
        Assert.Equal(one, Runs(2));
        Assert.Equal(one, Runs(8));
    }

    [Fact]
    public void Run_OtherSeed_GivesOtherRuns()
    {
        SimulatedRun First(int seed) => PoolSimulation.Run(s_job, s_pools, new SimulationSettings { Replicates = 1, Seed = seed })[1].Runs[0];
        Assert.NotEqual(First(1), First(2));
        Assert.NotEqual(First(1), First(-1));
    }

    [Fact]
    public void Run_PoolAlone_GivesTheRunsItGivesAmongOthers()
    {
        var settings = new SimulationSettings { Replicates = 5 };
        Assert.Equal(
            PoolSimulation.Run(s_job, s_pools, settings)[2].Runs, PoolSimulation.Run(s_job, [s_pools[2]], settings)[0].Runs);
    }

    [Fact]
    public void Run_Pools_ShareTheDrawnDurationsOfAReplicate()
    {
        var job = new JobStructure([new ParallelPhase("grid", 3000, new LognormalSizes(-12, 1))]);
        IReadOnlyList<SimulatedPool> pools = PoolSimulation.Run(job, s_pools, new SimulationSettings { Replicates = 5 });
        for (int replicate = 0; replicate < 5; replicate++)
        {
            Assert.All(pools, pool => Assert.Equal(1, pool.Runs[replicate].WorkSeconds / pools[0].Runs[replicate].WorkSeconds, 1e-12));
            Assert.All(pools, pool => Assert.Equal(pools[0].Runs[replicate].SpanSeconds, pool.Runs[replicate].SpanSeconds));
        }

        Assert.NotEqual(pools[0].Runs[0].WorkSeconds, pools[0].Runs[1].WorkSeconds);
    }

    [Fact]
    public void Run_Phases_FollowOneAnotherAndSharesAddUpToOne()
    {
        IReadOnlyList<SimulatedPool> pools = PoolSimulation.Run(s_job, s_pools, new SimulationSettings { Replicates = 10 });
        Assert.All(pools, pool =>
        {
            Assert.All(pool.Runs, run =>
            {
                Assert.Equal(3e-3, run.SerialSeconds, 1e-15);
                double paid = pool.Pool.Workers * run.SerialSeconds + run.UsefulSeconds + run.OverheadSeconds + run.StealingSeconds + run.IdleSeconds;
                Assert.Equal(1, paid / (pool.Pool.Workers * run.MakespanSeconds), 1e-9);
            });
            TimeShares shares = pool.Shares;
            Assert.Equal(1, shares.Work + shares.Serial + shares.Overhead + shares.Stealing + shares.Idle, 1e-9);
            double serial = pool.Runs.Average(run => 3e-3 / run.MakespanSeconds);
            Assert.Equal(serial, shares.Serial, 1e-12);
        });
        Assert.True(pools[3].MakespanSeconds.Mean < pools[1].MakespanSeconds.Mean);
        Assert.Equal(1, s_job.WorkSeconds / pools[0].MeanWorkSeconds, 0.02);
    }

    [Fact]
    public void Run_SerialJob_TakesItsLengthOnAnyPool()
    {
        IReadOnlyList<SimulatedPool> pools = PoolSimulation.Run(
            new JobStructure([new SerialPhase("only", 2)]), s_pools, new SimulationSettings { Replicates = 2 });
        Assert.All(pools, pool => Assert.Equal(new SampleSummary(2, 0, 2, 2, 2), pool.MakespanSeconds));
        Assert.All(pools, pool => Assert.Equal(new TimeShares(0, 1, 0, 0, 0), pool.Shares));
    }

    [Fact]
    public void Run_SlowerSiblings_StretchWorkButNotSteals()
    {
        var phase = new ParallelPhase("slow", 640, new ConstantSizes(1e-5));
        SimulatedRun full = Simulated.Pool(phase, 16, 1).Runs[0];
        SimulatedRun slow = Simulated.Pool(phase, 16, 1, speed: 0.5).Runs[0];
        Assert.Equal(1, slow.UsefulSeconds / (2 * full.UsefulSeconds), 1e-12);
        Assert.Equal(1, slow.OverheadSeconds / (2 * full.OverheadSeconds), 1e-12);
        Assert.Equal(full.WorkSeconds, slow.WorkSeconds, 1e-15);
        Assert.Equal(slow.Steals * 1e-6, slow.StealingSeconds, 1e-15);
    }

    [Fact]
    public void Run_Progress_TellsOfTheFirstRunsInOrder()
    {
        var settings = new SimulationSettings { Replicates = 100, Threads = 4 };
        var reports = new Reports();
        IReadOnlyList<SimulatedPool> all = PoolSimulation.Run(s_job, s_pools, settings, reports);
        Assert.Equal([1, 2, 4, 8, 13], reports.Told.Take(5).Select(report => report.Completed));
        Assert.All(reports.Told, report =>
        {
            Assert.Equal(100, report.Replicates);
            for (int i = 0; i < s_pools.Length; i++)
                Assert.Equal(all[i].Runs.Take(report.Completed), report.SoFar[i].Runs);
        });
    }

    [Fact]
    public void Run_Cancelled_EndsWithoutAnAnswer()
    {
        using var cancellation = new CancellationTokenSource();
        var progress = new Reports(report => cancellation.Cancel());
        Assert.ThrowsAny<OperationCanceledException>(() => PoolSimulation.Run(
            s_job, s_pools, new SimulationSettings { Replicates = 100_000 }, progress, cancellation.Token));
        Assert.InRange(progress.Told[^1].Completed, 1, 1000);
    }

    [Fact]
    public void Run_CancelledWhileDrawing_EndsWithoutAnAnswer()
    {
        using var cancellation = new CancellationTokenSource();
        cancellation.Cancel();
        var units = new DrawnUnits(new ParallelPhase("grid", 30_000, new LognormalSizes(-12, 1)));
        Assert.Throws<OperationCanceledException>(() => units.Draw(new RandomSource(1), cancellation.Token));
    }

    [Fact]
    public void Run_ManyUnits_TakesAtMostSixteenBytesForEach()
    {
        const long Units = 5_000_000;
        var job = new JobStructure([new ParallelPhase("grid", Units, new UniformSizes(1e-6, 2e-6), 1000)]);
        // One thread, so that all it allocates is seen: eight bytes a unit, drawn anew for each replicate in the same place.
        long before = GC.GetAllocatedBytesForCurrentThread();
        PoolSimulation.Run(job, [new WorkerPool(4), new WorkerPool(64)], new SimulationSettings { Replicates = 2, Threads = 1 });
        long allocated = GC.GetAllocatedBytesForCurrentThread() - before;
        Assert.InRange(allocated, 8 * Units, 8 * Units + 1_000_000);
        Assert.Equal(2, PoolSimulation.Threads(job, 64));
        Assert.Equal(1, PoolSimulation.Threads(job, 1));
        Assert.Equal(64, PoolSimulation.Threads(s_job, 64));
    }

    [Fact]
    public void Run_NoPool_IsRefused() => Assert.Throws<ArgumentException>("pools", () => PoolSimulation.Run(s_job, []));

    [Theory]
    [InlineData(0, 1.0)]
    [InlineData(WorkerPool.MostWorkers + 1, 1.0)]
    [InlineData(4, 0.0)]
    [InlineData(4, 1.1)]
    [InlineData(4, double.NaN)]
    public void WorkerPool_FiguresOutsideTheirRange_AreRefused(int workers, double speed) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new WorkerPool(workers, speed));

    [Fact]
    public void SimulationSettings_FiguresOutsideTheirRange_AreRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => new SimulationSettings { Replicates = 0 });
        Assert.Throws<ArgumentOutOfRangeException>(() => new SimulationSettings { Threads = 0 });
    }

    private sealed class Reports(Action<SimulationProgress>? then = null) : IProgress<SimulationProgress>
    {
        public List<SimulationProgress> Told { get; } = [];

        public void Report(SimulationProgress value)
        {
            Told.Add(value);
            then?.Invoke(value);
        }
    }
}
