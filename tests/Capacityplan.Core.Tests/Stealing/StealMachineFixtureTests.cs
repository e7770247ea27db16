using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Stealing;

// Against runs of our own reference simulation; reference/stealing/SOURCE.md says of what.
public sealed class StealMachineFixtureTests
{
    [Fact]
    public void StealMachine_RecordedTries_TakesTheSameRangesAndEndsAtTheSameTime()
    {
        IReadOnlyList<StealFixture> fixtures = StealFixture.All();
        Assert.Equal(8, fixtures.Count);
        Assert.All(fixtures, fixture =>
        {
            (double makespan, double idle, double stealing, long[] taken) = ReplayedRun.Of(fixture);
            Assert.Equal(fixture.Tries.Select(one => one.Taken), taken);
            Assert.Equal(1, makespan / fixture.Makespan, 1e-12);
            Assert.Equal(1, idle / fixture.Idle, 1e-12);
            Assert.Equal(fixture.Stealing, stealing, 1e-12 * fixture.Makespan);
            Assert.Equal(fixture.Steals, taken.Count(units => units > 0));
            Assert.Equal(fixture.Failed, taken.Count(units => units == 0));
        });
    }

    [Fact]
    public void EventByEventPool_RecordedTries_EndsAtTheSameTimeToo() =>
        Assert.All(StealFixture.All(), fixture =>
        {
            EventByEventOutcome outcome = EventByEventPool.Replay(
                fixture.Units, fixture.Phase.Grain, fixture.Phase.Costs, new WorkerPool(fixture.Workers), fixture.Tries.Select(one => one.Try));
            Assert.Equal(fixture.Tries.Select(one => one.Taken), outcome.Taken);
            Assert.Equal(1, outcome.Makespan / fixture.Makespan, 1e-12);
            Assert.Equal(1, outcome.Idle / fixture.Idle, 1e-12);
            Assert.Equal(1, outcome.Useful / fixture.Useful, 1e-12);
            Assert.Equal(fixture.Overhead, outcome.Overhead, 1e-12 * fixture.Makespan);
            Assert.Equal(fixture.Stealing, outcome.Stealing, 1e-12 * fixture.Makespan);
            Assert.Equal((fixture.Steals, fixture.Failed), (outcome.Steals, outcome.Failed));
        });
}

/// <summary>The fast machine driven by given tries instead of drawn ones.</summary>
internal static class ReplayedRun
{
    public static (double Makespan, double Idle, double Stealing, long[] Taken) Of(StealFixture fixture)
    {
        var costs = new PhaseCosts(fixture.Phase, new WorkerPool(fixture.Workers));
        double[] sums = new double[fixture.Units.Length + 1];
        for (int i = 0; i < fixture.Units.Length; i++)
            sums[i + 1] = sums[i] + fixture.Units[i];
        var machine = new StealMachine<PrefixSums>(costs, new PrefixSums(sums, fixture.Units.Length), new RandomSource(1));
        double now = 0, idle = 0;
        void StepUntil(double time)
        {
            while (machine.NextEvent <= time && !machine.Done)
            {
                idle += machine.Thieves * (machine.NextEvent - now);
                now = machine.NextEvent;
                machine.Step(now);
            }
        }

        var taken = new List<long>();
        foreach ((Try one, _) in fixture.Tries)
        {
            StepUntil(one.Time);
            idle += machine.Thieves * (one.Time - now);
            now = one.Time;
            taken.Add(machine.TrySteal(now, one.Thief, one.Victim));
        }

        StepUntil(double.MaxValue);
        return (now, idle, machine.StealingSeconds, [.. taken]);
    }
}
