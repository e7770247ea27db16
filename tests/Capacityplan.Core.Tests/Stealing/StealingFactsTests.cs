using Capacityplan.Core.Jobs;
using Capacityplan.Core.Laws;
using Capacityplan.Core.Stealing;
using CsCheck;

namespace Capacityplan.Core.Tests.Stealing;

/// <summary>What has to come out of every simulation of stealing.</summary>
public sealed class StealingFactsTests
{
    private static readonly Gen<ParallelPhase> s_phases = Gen.Select(
        Gen.OneOf(Sizes(
            new ConstantSizes(1e-5), new UniformSizes(0, 2e-5), new ExponentialSizes(1e-5), new GammaSizes(0.4, 2e-5),
            new LognormalSizes(-12, 1.5), new BoundedParetoSizes(1.1, 1e-6, 1e-2), new SampleSizes([0, 1e-6, 4e-5]))),
        Gen.Long[1, 5000], Gen.Long[1, 60],
        Gen.Select(Gen.Double[0, 2e-6], Gen.Double[0, 2e-6], Gen.Double[0, 1e-8], Gen.Double[1e-8, 1e-5], Gen.Double[0, 1e-5]),
        Gen.Select(Gen.Double[0, 1e-4], Gen.Double[0, 1e-6], Gen.Long[0, 100]),
        (sizes, units, grain, costs, options) => new ParallelPhase("any", units, sizes, grain, new SchedulingCosts
        {
            ForkSeconds = costs.Item1,
            JoinSeconds = costs.Item2,
            CombineSecondsPerUnit = costs.Item3,
            StealAttemptSeconds = costs.Item4,
            StealSeconds = costs.Item5,
            WakeSeconds = options.Item1,
            RefillSecondsPerUnit = options.Item2,
            RefillUnits = options.Item3,
        }));

    [Fact]
    public void PoolSimulation_OneWorker_TakesTheWorkToTheLastDigits() =>
        s_phases.ForAll(
            phase =>
            {
                SimulatedRun run = Simulated.Pool(phase, 1, 1).Runs[0];
                Assert.Equal(run.WorkSeconds, run.MakespanSeconds, 1e-12 * run.WorkSeconds);
                Assert.Equal((0, 0, 0, 0), (run.Steals, run.FailedTries, run.IdleSeconds, run.StealingSeconds));
                if (phase.UnitSizes is ConstantSizes constant)
                {
                    double closedForm = phase.Units * constant.Value + phase.Tree.Forks * (phase.Costs.ForkSeconds + phase.Costs.JoinSeconds)
                        + phase.Costs.CombineSecondsPerUnit * phase.Tree.JoinedUnits;
                    Assert.Equal(1, run.MakespanSeconds / closedForm, 1e-12);
                }
            },
            count: 200);

    // Brent, Journal of the ACM 21(2), 1974; Graham, Bell System Technical Journal 45(9), 1966.
    [Fact]
    public void PoolSimulation_AnyJobAndPool_KeepsTheWorkAndSpanLawsAndAccountsForAllWorkerTime() =>
        Gen.Select(s_phases, Gen.Int[1, 100], Gen.Double[0.2, 1]).ForAll(
            drawn =>
            {
                (ParallelPhase phase, int workers, double speed) = drawn;
                foreach (SimulatedRun run in Simulated.Pool(phase, workers, 2, seed: workers, speed).Runs)
                {
                    double floor = WorkSpanLaws.FloorSeconds(run.WorkSeconds, Math.Min(run.SpanSeconds, run.WorkSeconds), workers) / speed;
                    Assert.True(run.MakespanSeconds >= floor * (1 - 1e-9), $"{run.MakespanSeconds} below {floor}");
                    double paid = run.UsefulSeconds + run.OverheadSeconds + run.StealingSeconds + run.IdleSeconds;
                    Assert.Equal(workers * run.MakespanSeconds, paid, 1e-9 * paid);
                    Assert.Equal(phase.Tree.Forks, run.Steals + run.Pops);
                    Assert.Equal(phase.Tree.PushedUnits, run.StolenUnits + run.PoppedUnits);
                }
            },
            count: 300);

    // The greedy ceiling, (T1 - T_inf)/p + T_inf, supposes that no worker idles while there is work; a thief has to search and to
    // steal first, so it can be broken. Of 1800 runs 303 were by up to 8 % with usual costs, 547 by up to 44 % with slow tries,
    // and 1430 by up to 246 % where a try and a steal take as long as a unit each; never by more than the logarithm proved for unit
    // tasks (Tchiboukdjian, Gast and Trystram, "Decentralized List Scheduling", Annals of Operations Research 207, 2013) allows
    // for, of tries and steals.
    [Theory]
    [InlineData(2e-7, 1e-6, 303, 0.081)]
    [InlineData(2e-6, 1e-6, 547, 0.44)]
    [InlineData(1e-5, 1e-5, 1430, 2.46)]
    public void PoolSimulation_GreedyCeiling_IsBrokenAsSeldomAndByAsLittleAsStated(double attempt, double steal, int broken, double mostOver)
    {
        var costs = new SchedulingCosts { StealAttemptSeconds = attempt, StealSeconds = steal };
        TaskSizes[] sizes = [new ConstantSizes(1e-5), new ExponentialSizes(1e-5), new LognormalSizes(-12, 1)];
        var excess = new List<double>();
        foreach (TaskSizes one in sizes)
        {
            foreach ((long units, long grain) in new[] { (500L, 1L), (5000, 1), (5000, 8) })
            {
                var phase = new ParallelPhase("ceiling", units, one, grain, costs);
                double chain = StealingBounds.ProvedLogFactor * Math.Log2(phase.Tree.Leaves) * (attempt + steal);
                foreach (int workers in new[] { 2, 6, 16, 48 })
                {
                    foreach (SimulatedRun run in Simulated.Pool(phase, workers, 50).Runs)
                    {
                        double ceiling = WorkSpanLaws.GreedyCeilingSeconds(run.WorkSeconds, run.SpanSeconds, workers);
                        excess.Add(run.MakespanSeconds / ceiling - 1);
                        Assert.True(run.MakespanSeconds <= ceiling + chain, $"{run.MakespanSeconds} past {ceiling} and {chain} in {phase}");
                    }
                }
            }
        }

        Assert.Equal(1800, excess.Count);
        // The seed makes the count what it is; another processor's last digits may tip a run or two.
        Assert.InRange(excess.Count(over => over > 0), broken - 5, broken + 5);
        Assert.Equal(mostOver, excess.Max(), 0.01 * (1 + mostOver));
    }

    // Common practice, no source: owner and thief work at opposite ends of a deque and meet only at its last item.
    [Fact]
    public void TrySteal_DequeOfSeveralItems_CostsTheOwnerNothingBeforeItsLastOne()
    {
        // Eight units of 1 s, forks that take no time: from 0 on the owner's deque holds ranges of 4, 2 and 1 units.
        double[] units = [1, 1, 1, 1, 1, 1, 1, 1];
        var costs = new SchedulingCosts { ForkSeconds = 0, JoinSeconds = 0, StealSeconds = 0 };
        double[] sums = [0, 1, 2, 3, 4, 5, 6, 7, 8];
        Try[] tries = [new(0.25, 1, 0), new(0.5, 2, 0), new(0.75, 3, 0), new(0.875, 4, 0)];
        long[] taken = [4, 2, 1, 0];
        for (int steals = 0; steals <= tries.Length; steals++)
        {
            var phase = new ParallelPhase("deque", 8, new SampleSizes(units), 1, costs);
            var machine = new StealMachine<PrefixSums>(
                new PhaseCosts(phase, new WorkerPool(5)), new PrefixSums(sums, 8), new RandomSource(1));
            machine.Step(0);
            foreach ((Try one, long size) in tries[..steals].Zip(taken))
                Assert.Equal(size, machine.TrySteal(one.Time, one.Thief, one.Victim));
            Assert.Equal(taken[..steals], EventByEventPool.Replay(units, 1, costs, new WorkerPool(5), tries[..steals]).Taken);
            // The owner's first unit is done at 1: only if its last item is gone does it join the thieves.
            int thieves = machine.Thieves;
            while (machine.NextEvent <= 1)
                machine.Step(machine.NextEvent);
            Assert.Equal(steals >= 3 ? thieves + 1 : thieves, machine.Thieves);
        }
    }

    [Theory]
    [InlineData(2, 1e-5, 2e-7)]
    [InlineData(5, 1e-5, 1e-5)]
    [InlineData(32, 1e-6, 1e-5)]
    public void PoolSimulation_TwoUnits_MatchTheClosedForm(int workers, double unit, double attempt)
    {
        // The right half is stolen while the left one runs with chance q = 1 - exp(-x/a), the p - 1 thieves hitting the one
        // victim at rate 1/a together.
        var costs = new SchedulingCosts
        {
            ForkSeconds = 3e-7,
            JoinSeconds = 2e-7,
            CombineSecondsPerUnit = 1e-8,
            StealAttemptSeconds = attempt,
            StealSeconds = 1e-6,
        };
        var phase = new ParallelPhase("two units", 2, new ConstantSizes(unit), 1, costs);
        SimulatedPool pool = Simulated.Pool(phase, workers, 20_000);
        double q = 1 - Math.Exp(-unit / attempt);
        Sampled steals = Simulated.Of(pool, run => run.Steals);
        double error = 4 * Math.Sqrt(q * (1 - q) / pool.Runs.Count) + 1e-12;
        Assert.InRange(steals.Mean, q - error, q + error);
        double makespan = costs.ForkSeconds + unit + costs.JoinSeconds + 2 * costs.CombineSecondsPerUnit + (attempt + costs.StealSeconds) * q;
        Sampled simulated = Simulated.Of(pool, run => run.MakespanSeconds);
        Assert.InRange((simulated.Mean - makespan) / simulated.MeanError, -4, 4);
    }

    // Common practice, no source: the owner works newest first and thieves take the oldest item.
    [Fact]
    public void PoolSimulation_StolenRanges_AreLargerThanPoppedOnes() =>
        s_phases.ForAll(
            phase =>
            {
                SimulatedPool pool = Simulated.Pool(phase, 8, 20);
                if (pool.Runs.Sum(run => run.Steals) > 50 && pool.Runs.Sum(run => run.Pops) > 50)
                    Assert.True(pool.MeanStolenUnits > pool.MeanPoppedUnits, $"{pool.MeanStolenUnits} against {pool.MeanPoppedUnits} in {phase}");
            },
            count: 100);

    // Blumofe and Leiserson, Journal of the ACM 46(5), 1999; Arora, Blumofe and Plaxton, TOCS 34, 2001: steals, tries that
    // fail included, are O(p T_inf) where a try takes about as long as a unit.
    [Fact]
    public void PoolSimulation_Steals_GrowWithWorkersTimesSpan()
    {
        double[] ratios = [.. new[] { (8, 14), (16, 14), (64, 14), (64, 17), (256, 17) }.Select(setting =>
        {
            (int workers, int levels) = setting;
            var costs = new SchedulingCosts { ForkSeconds = 1, JoinSeconds = 0, StealAttemptSeconds = 1, StealSeconds = 0 };
            var phase = new ParallelPhase("unit tasks", 1L << levels, new ConstantSizes(1), 1, costs);
            SimulatedPool pool = Simulated.Pool(phase, workers, 50);
            return (pool.Steals.Mean + pool.MeanFailedTries) / (workers * pool.MeanSpanSeconds);
        })];
        // 1.3 to 2.3 were seen, while workers times span grew 39-fold: O() allows for any constant.
        Assert.InRange(ratios.Max() / ratios.Min(), 1, 2);
    }

    // Blumofe and others, J. Parallel Distrib. Comput. 37(1), 1996: T = c1 T1/p + c2 T_inf with c1 near 1.
    [Fact]
    public void PoolSimulation_FittedToTheMeasuredForm_HasAWorkFactorNearOne()
    {
        var phase = new ParallelPhase("fitted", 20_000, new ExponentialSizes(1e-5));
        SimulatedPool[] pools = [.. new[] { 2, 4, 8, 16, 32, 64 }.Select(workers => Simulated.Pool(phase, workers, 40))];
        // Least squares of relative errors in c1 and c2.
        double aa = 0, ab = 0, bb = 0, ay = 0, by = 0;
        foreach (SimulatedPool pool in pools)
        {
            double a = pool.MeanWorkSeconds / pool.Pool.Workers / pool.MakespanSeconds.Mean;
            double b = pool.MeanSpanSeconds / pool.MakespanSeconds.Mean;
            (aa, ab, bb, ay, by) = (aa + a * a, ab + a * b, bb + b * b, ay + a, by + b);
        }

        Assert.Equal(1, (ay * bb - by * ab) / (aa * bb - ab * ab), 0.03);
    }

    private static Gen<TaskSizes>[] Sizes(params TaskSizes[] sizes) => [.. sizes.Select(one => Gen.Const(one))];
}
