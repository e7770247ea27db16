using Capacityplan.Core.Jobs;
using Capacityplan.Core.Laws;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Stealing;

public sealed class GrainCurveTests
{
    // 10^5 units of 1 us, forks and joins of 0.2 us together, 12 workers: sqrt(N o/(p x)) is 41.
    private static readonly JobStructure s_constant = new(
        [new ParallelPhase("loop", 100_000, new ConstantSizes(1e-6), 1, new SchedulingCosts { ForkSeconds = 1e-7, JoinSeconds = 1e-7 })]);

    private static readonly JobStructure s_uneven = new(
    [
        new SerialPhase("read", 1e-4),
        new ParallelPhase("grid", 20_000, new LognormalSizes(-14, 1)),
        new ParallelPhase("contour", 3000, new ExponentialSizes(1e-6), 7),
        new SerialPhase("write", 1e-4),
    ]);

    private static readonly WorkerPool s_twelve = new(12);

    private static readonly SimulationSettings s_settings = new() { Replicates = 40, Seed = 4 };

    [Fact]
    public void Simulate_ConstantUnits_IsBestNearTheLawOfGrainSizes()
    {
        GrainCurve curve = GrainCurve.Simulate(s_constant, 0, s_twelve, settings: s_settings);
        Assert.Equal(GrainSize.Best(100_000, 1e-6, 2e-7, 12), curve.LawGrain, 1e-9);
        // The law takes leaves to be full; halving leaves them between half full and full: 24 or 25 units at grain 32.
        Assert.InRange(curve.Best.Grain, curve.LawGrain / 2, curve.LawGrain * 2);
        Assert.InRange(curve.LawGrain, curve.FlatFrom, curve.FlatTo);
        Assert.Equal([1L, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024, 2048, 4096, 8192, 8334], curve.Points.Select(point => point.Grain));
        Assert.Equal((40, 40), (curve.Completed, curve.Replicates));
    }

    [Fact]
    public void Simulate_ConstantUnits_RisesTowardsBothEndsOfTheCurve()
    {
        GrainCurve curve = GrainCurve.Simulate(s_constant, 0, s_twelve, settings: s_settings);
        double[] means = [.. curve.Points.Select(point => point.MakespanSeconds.Mean)];
        // Finer than 64, forks and joins double with every step. Coarser than 256, leaves are too few to share out evenly: every
        // other step at least, as halving makes twelve workers wait in turn for 22 of 21.3 leaves, 11 of 10.7, 6 of 5.3 ...
        Assert.Equal(means[..7].OrderDescending(), means[..7]);
        double[] coarse = [means[8], means[9], means[11], means[13]];
        Assert.Equal(coarse.Order(), coarse);
        Assert.True(means[0] > 1.1 * curve.Best.MakespanSeconds.Mean);
        Assert.True(means[^1] > 1.1 * curve.Best.MakespanSeconds.Mean);
        Assert.All(new[] { curve.Points[0], curve.Points[^1] }, end => Assert.False(end.IsTied));
    }

    [Fact]
    public void Simulate_ConstantUnitsOnAPowerOfTwoOfWorkers_NeedNoFinerSplitThanAnEvenShare()
    {
        // What the law cannot know: sixteen equal leaves on sixteen workers leave nobody waiting.
        GrainCurve curve = GrainCurve.Simulate(s_constant, 0, new WorkerPool(16), settings: s_settings);
        Assert.Equal((6250, 16), (curve.Best.Grain, curve.Best.Leaves));
        Assert.Equal(6250, curve.FlatTo);
    }

    [Fact]
    public void Simulate_FlatPart_HoldsTheBestAndEndsWhereRunsGetSlower()
    {
        GrainCurve curve = GrainCurve.Simulate(s_uneven, 1, s_twelve, settings: s_settings);
        Assert.InRange(curve.Best.Grain, curve.FlatFrom, curve.FlatTo);
        Assert.True(curve.Best.IsTied);
        Assert.Equal(curve.Points.Min(point => point.MakespanSeconds.Mean), curve.Best.MakespanSeconds.Mean);
        double limit = 1.02 * curve.Best.MakespanSeconds.Mean;
        Assert.All(curve.Points, point =>
        {
            if (point.Grain >= curve.FlatFrom && point.Grain <= curve.FlatTo)
                Assert.True(point.MakespanSeconds.Mean <= limit * (1 + 1e-12));
        });
        Assert.True(curve.Points.First(point => point.Grain > curve.FlatTo).MakespanSeconds.Mean > limit);
        Assert.True(curve.FlatFrom < curve.FlatTo);
    }

    [Fact]
    public void Simulate_EachGrain_IsTheRunOfTheJobSplitThatWay()
    {
        GrainCurve curve = GrainCurve.Simulate(s_uneven, 1, new WorkerPool(8), [1, 30, 500], s_settings);
        Assert.All(curve.Points, point =>
        {
            var grid = (ParallelPhase)s_uneven.Phases[1];
            var job = new JobStructure(
                [s_uneven.Phases[0], new ParallelPhase("grid", grid.Units, grid.UnitSizes, point.Grain), .. s_uneven.Phases.Skip(2)]);
            SimulatedPool pool = PoolSimulation.Run(job, [new WorkerPool(8)], s_settings)[0];
            Assert.Equal(pool.MakespanSeconds, point.MakespanSeconds);
            Assert.Equal(pool.Shares, point.Shares);
        });
    }

    [Fact]
    public void Simulate_SharedUnits_TellGrainsApartBetterThanTheirOwnErrorsCould()
    {
        GrainCurve curve = GrainCurve.Simulate(s_uneven, 1, new WorkerPool(8), [2, 4, 8], s_settings);
        Assert.All(curve.Points.Where(point => point != curve.Best), point =>
            Assert.True(point.SlowerErrorSeconds < point.StandardErrorSeconds, $"{point}"));
    }

    [Fact]
    public void Simulate_SameSeed_GivesTheSameCurveOnAnyNumberOfThreads()
    {
        GrainCurve Curve(int threads, int seed) => GrainCurve.Simulate(
            s_uneven, 1, new WorkerPool(8, 0.8), null, new SimulationSettings { Replicates = 9, Seed = seed, Threads = threads });
        Assert.Equal(Curve(1, 3).Points, Curve(4, 3).Points);
        Assert.NotEqual(Curve(1, 3).Points, Curve(1, 4).Points);
    }

    [Fact]
    public void Simulate_Progress_TellsTheCurveSoFarAndCancelEndsIt()
    {
        var told = new List<GrainCurve>();
        var progress = new Told(told.Add);
        GrainCurve all = GrainCurve.Simulate(s_uneven, 1, new WorkerPool(8), [1, 64, 2500], s_settings, progress);
        Assert.Equal([1, 2, 4], told.Take(3).Select(curve => curve.Completed));
        Assert.All(told, curve => Assert.Equal(3, curve.Points.Count));
        Assert.Equal(all.Points, told[^1].Points);
        Assert.True(told[0].Best.IsTied);
        using var cancellation = new CancellationTokenSource();
        Assert.ThrowsAny<OperationCanceledException>(() => GrainCurve.Simulate(
            s_uneven, 1, new WorkerPool(8), null, new SimulationSettings { Replicates = 100_000 }, new Told(_ => cancellation.Cancel()), cancellation.Token));
    }

    [Fact]
    public void ExpectedSeconds_ConstantUnits_IsWithinTwoPercentOfTheSimulatedFlatPart()
    {
        GrainCurve curve = GrainCurve.Simulate(s_constant, 0, s_twelve, settings: s_settings);
        Assert.Equal(
            curve.Points.Select(point => point.ExpectedSeconds),
            GrainCurve.ExpectedSeconds(s_constant, 0, s_twelve, [.. curve.Points.Select(point => point.Grain)]));
        Assert.All(curve.Points.Where(point => point.Grain <= curve.FlatTo), point =>
            Assert.Equal(1, point.ExpectedSeconds / point.MakespanSeconds.Mean, 0.02));
    }

    [Fact]
    public void UsualGrains_Are_PowersOfTwoUpToAnEvenShare()
    {
        Assert.Equal([1L, 2, 4, 8, 13], GrainCurve.UsualGrains(100, 8));
        Assert.Equal([1L], GrainCurve.UsualGrains(5, 8));
        Assert.Equal([1L, 2, 4, 7], GrainCurve.UsualGrains(7, 1));
    }

    [Fact]
    public void Simulate_NothingToVary_IsRefused()
    {
        Assert.Throws<ArgumentException>("phase", () => GrainCurve.Simulate(s_uneven, 0, new WorkerPool(8)));
        Assert.Throws<ArgumentException>("phase", () => GrainCurve.Simulate(s_uneven, 4, new WorkerPool(8)));
        Assert.Throws<ArgumentException>("grains", () => GrainCurve.Simulate(s_uneven, 1, new WorkerPool(8), []));
        Assert.Throws<ArgumentOutOfRangeException>("grain", () => GrainCurve.Simulate(s_uneven, 1, new WorkerPool(8), [0]));
    }

    private sealed class Told(Action<GrainCurve> tell) : IProgress<GrainCurve>
    {
        public void Report(GrainCurve value) => tell(value);
    }
}
