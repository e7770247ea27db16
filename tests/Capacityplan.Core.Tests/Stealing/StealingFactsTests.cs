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

    // The greedy ceiling supposes that no worker idles while there is work; a thief may search for a while.
    [Fact]
    public void PoolSimulation_TriesSlowAgainstUnits_BreakTheGreedyCeilingInAMinorityOfRuns()
    {
        var phase = new ParallelPhase("ceiling", 5000, new ExponentialSizes(1e-5), 1, new SchedulingCosts { StealAttemptSeconds = 2e-6 });
        double[] excess = [.. Simulated.Pool(phase, 48, 400).Runs.Select(run =>
            run.MakespanSeconds / WorkSpanLaws.GreedyCeilingSeconds(run.WorkSeconds, run.SpanSeconds, 48) - 1)];
        // 141 of 400 were seen.
        Assert.InRange(excess.Count(over => over > 0), 0, 200);
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
