using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Stealing;

/// <summary>What goes wrong in practice when a pool is simulated from steal to steal.</summary>
public sealed class StealMachinePathologyTests
{
    [Fact]
    public void TrySteal_StolenLeafShorterThanAFork_IsNotHeldUntilAForkWouldEnd()
    {
        // Units of 1 s and 0.001 s, forks of 0.5 s: the thief is done with the second at 0.6 + 0.001, the victim at 1.5.
        StealMachine<PrefixSums> machine = Machine([1, 0.001], 2, fork: 0.5, join: 0);
        machine.Step(machine.NextEvent);
        Assert.Equal(1, machine.TrySteal(0.6, 1, 0));
        Assert.Equal(0.601, machine.NextEvent, 1e-15);
        machine.Step(machine.NextEvent);
        Assert.Equal(1, machine.Thieves);
        Assert.Equal(1.5, machine.NextEvent, 1e-15);
    }

    [Fact]
    public void TrySteal_BothHalvesLeaves_CanOnlyBeRobbedWhileTheLeftOneRuns()
    {
        StealMachine<PrefixSums> machine = Machine([1, 1], 3, fork: 0.5, join: 0.25);
        Assert.Equal(0, machine.TrySteal(0.4, 1, 0));
        Assert.Equal(0.5, machine.NextEvent);
        machine.Step(0.5);
        Assert.Equal(1, machine.Candidates);
        Assert.Equal(1.5, machine.NextEvent);
        machine.Step(1.5);
        Assert.Equal(0, machine.Candidates);
        Assert.Equal(0, machine.TrySteal(1.6, 1, 0));
        Assert.Equal(2.75, machine.NextEvent);
        machine.Step(2.75);
        Assert.True(machine.Done);
    }

    [Fact]
    public void TrySteal_VictimInTheGapWhileItForksAgain_Fails()
    {
        // Four units of 1 s, forks of 0.5 s. At 0.5 the right two are pushed and stay on the deque while the left two are
        // forked (to 1) and run (to 3). Then they are popped and forked to 3.5: till the right one of them is pushed at the
        // end of that fork, the deque is empty, though the worker has another unit to give away afterwards.
        double[] units = [1, 1, 1, 1];
        StealMachine<PrefixSums> machine = Machine(units, 2, fork: 0.5, join: 0);
        machine.Step(0.5);
        Assert.Equal(1, machine.Candidates);
        Assert.Equal(0, machine.TrySteal(3.2, 1, 0));
        Assert.Equal(0, machine.Candidates);
        Assert.Equal(3.5, machine.NextEvent, 1e-15);
        machine.Step(machine.NextEvent);
        Assert.Equal(1, machine.Candidates);
        Assert.Equal(1, machine.TrySteal(3.7, 1, 0));
        // Thief and victim now run a unit each: to 4.7 (from 3.7) and to 4.5 (from 3.5).
        machine.Step(machine.NextEvent);
        Assert.Equal(4.7, machine.NextEvent, 1e-15);

        var costs = new SchedulingCosts { ForkSeconds = 0.5, JoinSeconds = 0, StealSeconds = 0 };
        EventByEventOutcome plain = EventByEventPool.Replay(units, 1, costs, new WorkerPool(2), [new Try(3.2, 1, 0), new Try(3.7, 1, 0)]);
        Assert.Equal([0, 1], plain.Taken);
        Assert.Equal(4.7, plain.Makespan, 1e-15);
    }

    [Fact]
    public void TrySteal_EndsOfTheGap_AreThePopAndTheEndOfTheFork()
    {
        // A moment before 3 the two units are still there to be taken; a moment after 3.5 there is one again.
        foreach ((double time, long taken) in new[] { (2.999, 2L), (3.001, 0L), (3.499, 0L), (3.501, 1L) })
        {
            StealMachine<PrefixSums> machine = Machine([1, 1, 1, 1], 2, fork: 0.5, join: 0);
            machine.Step(0.5);
            Assert.Equal(taken, machine.TrySteal(time, 1, 0));
            var costs = new SchedulingCosts { ForkSeconds = 0.5, JoinSeconds = 0, StealSeconds = 0 };
            Assert.Equal([taken], EventByEventPool.Replay([1, 1, 1, 1], 1, costs, new WorkerPool(2), [new Try(time, 1, 0)]).Taken);
        }
    }

    [Fact]
    public void TrySteal_ThiefStillBusyWithItsSteal_CannotBeRobbed()
    {
        StealMachine<PrefixSums> machine = Machine([1, 1, 1, 1], 3, fork: 0.5, join: 0, steal: 10);
        machine.Step(machine.NextEvent);
        Assert.Equal(2, machine.TrySteal(0.6, 1, 0));
        Assert.Equal(0, machine.TrySteal(0.7, 2, 1));
    }

    [Theory]
    [InlineData(3, 2)]
    [InlineData(5, 1)]
    [InlineData(13, 3)]
    public void StealMachine_LeavesOnTwoLevels_TakesTheWorkOnOneWorker(int units, int grain)
    {
        double[] seconds = [.. Enumerable.Range(1, units).Select(i => i * 0.1)];
        StealMachine<PrefixSums> machine = Machine(seconds, 1, fork: 0.5, join: 0.25, grain: grain);
        double end = 0;
        while (!machine.Done)
        {
            end = machine.NextEvent;
            machine.Step(end);
        }

        var tree = new RangeTree(units, grain);
        Assert.Equal(seconds.Sum() + tree.Forks * 0.75, end, 1e-12);
    }

    [Theory]
    [InlineData(1, 1)]
    [InlineData(1, 5)]
    [InlineData(4, 4)]
    [InlineData(4, 100)]
    public void PoolSimulation_NoMoreUnitsThanTheGrain_IsOneLeafWhateverThePool(int units, int grain)
    {
        var phase = new ParallelPhase("leaf", units, new ConstantSizes(1e-5), grain);
        SimulatedPool pool = Simulated.Pool(phase, 8, 3);
        Assert.All(pool.Runs, run =>
        {
            Assert.Equal(units * 1e-5, run.MakespanSeconds, 1e-18);
            Assert.Equal((0, 0), (run.Steals, run.Pops));
            // Seven thieves trying every 0.2 us all the while.
            Assert.Equal(7 * run.MakespanSeconds / 2e-7, run.FailedTries, 1e-6);
        });
    }

    [Fact]
    public void PoolSimulation_OneWorker_HasNoRateToMultiplyByAnInfiniteInterval()
    {
        SimulatedRun run = Simulated.Pool(new ParallelPhase("alone", 100, new ExponentialSizes(1)), 1, 1).Runs[0];
        Assert.True(double.IsFinite(run.MakespanSeconds));
        Assert.Equal(0, run.FailedTries);
    }

    [Theory]
    [InlineData(1e-15)]
    [InlineData(1e3)]
    public void PoolSimulation_VeryOftenOrHardlyEverTrying_StillEndsAndAddsUp(double attempt)
    {
        var phase = new ParallelPhase("extreme", 500, new ExponentialSizes(1e-5), 1, new SchedulingCosts { StealAttemptSeconds = attempt });
        SimulatedPool pool = Simulated.Pool(phase, 4, 20);
        Assert.All(pool.Runs, run => Assert.Equal(
            1, (run.UsefulSeconds + run.OverheadSeconds + run.StealingSeconds + run.IdleSeconds) / (4 * run.MakespanSeconds), 1e-9));
        Assert.InRange(pool.Steals.Mean, 0, 499);
        Assert.Equal(attempt < 1, pool.Steals.Mean > 1);
    }

    [Fact]
    public void PoolSimulation_KeysARoundingStepApart_NeverRunBackwards()
    {
        // Long and vanishing units side by side: sums of ranges differ from sums of their parts in the last digit.
        var phase = new ParallelPhase(
            "uneven", 4000, new SampleSizes([0, 1e-17, 1e-9, 3.3333333333333333]), 1,
            new SchedulingCosts { ForkSeconds = 0, JoinSeconds = 0, StealSeconds = 0, StealAttemptSeconds = 1e-3 });
        Assert.All(Simulated.Pool(phase, 16, 50).Runs, run =>
        {
            Assert.True(run.IdleSeconds >= 0);
            Assert.Equal(1, (run.UsefulSeconds + run.IdleSeconds) / (16 * run.MakespanSeconds), 1e-9);
        });
    }

    [Fact]
    public void PoolSimulation_MillionsOfEqualUnits_LoseNoDigitsInTheirSums()
    {
        // The sum of a million tenths is off by 1e-11 of itself in a plain running sum, by 1e-3 in single precision.
        var phase = new ParallelPhase("sums", 1_000_000, new SampleSizes([0.1]), 1000);
        var units = new DrawnUnits(phase);
        units.Draw(new RandomSource(1));
        Assert.Equal(1, units.Sums[^1] / 100_000, 1e-13);
    }

    [Fact]
    public void PoolSimulation_OtherSettings_KeepTheDurationsTheyAreComparedOn()
    {
        // Durations and tries come from separate streams: another pool or cost must not change what was drawn.
        double Work(SchedulingCosts costs, int workers) => Simulated.Pool(
            new ParallelPhase("paired", 700, new LognormalSizes(-12, 1), 1, costs), workers, 3).Runs[2].UsefulSeconds;
        double usual = Work(new SchedulingCosts(), 2);
        Assert.Equal(usual, Work(new SchedulingCosts { StealSeconds = 1e-4, WakeSeconds = 1e-4 }, 2));
        Assert.Equal(usual, Work(new SchedulingCosts(), 33));
    }

    [Fact]
    public void RandomTries_ManySteals_AllocateNothingForEach()
    {
        var phase = new ParallelPhase("busy", 200_000, new ConstantSizes(1e-5));
        var costs = new PhaseCosts(phase, new WorkerPool(64));
        PhaseRun Run(ulong replicate) => PoolSimulation.RunPhase(phase, costs, null, new RandomSource(1), new RandomSource(2, replicate));
        Run(0);
        long before = GC.GetAllocatedBytesForCurrentThread();
        PhaseRun run = Run(1);
        long allocated = GC.GetAllocatedBytesForCurrentThread() - before;
        Assert.True(run.Steals > 1000);
        Assert.InRange(allocated, 0, 40_000);
    }

    private static StealMachine<PrefixSums> Machine(
        double[] units, int workers, double fork, double join, double steal = 0, int grain = 1)
    {
        double[] sums = new double[units.Length + 1];
        for (int i = 0; i < units.Length; i++)
            sums[i + 1] = sums[i] + units[i];
        var costs = new SchedulingCosts { ForkSeconds = fork, JoinSeconds = join, StealSeconds = steal };
        var phase = new ParallelPhase("by hand", units.Length, new SampleSizes(units), grain, costs);
        return new StealMachine<PrefixSums>(
            new PhaseCosts(phase, new WorkerPool(workers)), new PrefixSums(sums, units.Length), new RandomSource(1));
    }
}
