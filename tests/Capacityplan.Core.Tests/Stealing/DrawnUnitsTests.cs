using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;
using CsCheck;

namespace Capacityplan.Core.Tests.Stealing;

public sealed class DrawnUnitsTests
{
    [Fact]
    public void Draw_AnyTree_FindsTheLongestChainThatHalvingFinds() =>
        Gen.Select(Gen.Int[1, 6000], Gen.Int[1, 300], Gen.Double[0, 1e-7]).ForAll(
            drawn =>
            {
                (int count, int grain, double combine) = drawn;
                var phase = new ParallelPhase(
                    "any", count, new LognormalSizes(-12, 1), grain, new SchedulingCosts { CombineSecondsPerUnit = combine });
                var units = new DrawnUnits(phase);
                units.Draw(new RandomSource(3, (ulong)count));
                double[] seconds = new double[count];
                phase.UnitSizes.Fill(new RandomSource(3, (ulong)count), seconds);
                Assert.Equal(1, units.SpanSeconds / Span(seconds, grain, phase.Costs), 1e-12);
                Assert.Equal(1, units.Sums[^1] / seconds.Sum(), 1e-12);
                Assert.Equal(seconds.Take(count / 2).Sum(), units.Sums[count / 2], 1e-12 * seconds.Sum());
            },
            count: 100);

    [Theory]
    [InlineData(1000, 1000, 0)]
    [InlineData(1001, 1000, 1)]
    [InlineData(4100, 1000, 3)]
    public void DrawnUnits_PastTheMostSums_KeepsEverySecondFourthOrEighth(int units, int mostSums, int shift)
    {
        var phase = new ParallelPhase("blocks", units, new ExponentialSizes(1));
        var whole = new DrawnUnits(phase);
        var blocks = new DrawnUnits(phase, mostSums);
        whole.Draw(new RandomSource(1));
        blocks.Draw(new RandomSource(1));
        Assert.Equal(shift, blocks.Shift);
        Assert.InRange(blocks.Sums.Length, 1, mostSums + 2);
        Assert.Equal(whole.SpanSeconds, blocks.SpanSeconds);
        var exact = new PrefixSums(whole.Sums, units);
        var coarse = new BlockSums(blocks.Sums, units, shift);
        Assert.Equal(exact.Total(), coarse.Total(), 1e-12 * exact.Total());
        RangeShape range = phase.Tree.Shapes[0];
        long step = 1L << shift;
        for (long low = 0; low + range.Units <= units; low += step)
            Assert.InRange(coarse.LeftHalf(low, range, 0) - exact.LeftHalf(low, range, 0), -2 * step * 10, 2 * step * 10);
    }

    // What blocks approximate must not show where a leaf holds some blocks.
    [Fact]
    public void BlockSums_GrainOfSomeBlocks_ChangeTheRunTimeByLessThanItIsKnownTo()
    {
        var phase = new ParallelPhase("blocks", 40_000, new LognormalSizes(-12, 1), 64);
        PhaseRun[] Runs(long mostSums)
        {
            var costs = new PhaseCosts(phase, new WorkerPool(16));
            var units = new DrawnUnits(phase, mostSums);
            return [.. Enumerable.Range(0, 150).Select(replicate =>
            {
                units.Draw(new RandomSource(4, (ulong)replicate));
                return PoolSimulation.RunPhase(phase, costs, units, new RandomSource(5), new RandomSource(6, (ulong)replicate));
            })];
        }

        PhaseRun[] exact = Runs(40_000);
        PhaseRun[] coarse = Runs(5_000);
        Sampled exactTime = Sampled.Of([.. exact.Select(run => run.MakespanSeconds)]);
        Sampled coarseTime = Sampled.Of([.. coarse.Select(run => run.MakespanSeconds)]);
        // Both ran the same units, so these errors, those of independent samples, are more than they need.
        Assert.InRange(coarseTime.MeanDistance(exactTime), -4, 4);
        Assert.InRange(coarseTime.SpreadDistance(exactTime), -4, 4);
        Assert.InRange(
            Sampled.Of([.. coarse.Select(run => (double)run.Steals)]).MeanDistance(Sampled.Of([.. exact.Select(run => (double)run.Steals)])), -4, 4);
        Assert.NotEqual(exact.Select(run => run.MakespanSeconds), coarse.Select(run => run.MakespanSeconds));
    }

    private static double Span(ReadOnlySpan<double> units, int grain, SchedulingCosts costs)
    {
        if (units.Length <= grain)
        {
            double leaf = 0;
            foreach (double unit in units)
                leaf += unit;
            return leaf;
        }

        int middle = units.Length / 2;
        return costs.ForkSeconds + Math.Max(Span(units[..middle], grain, costs), Span(units[middle..], grain, costs))
            + costs.JoinSeconds + costs.CombineSecondsPerUnit * units.Length;
    }
}
