using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Stealing;

/// <summary>The fast simulation and the event-by-event one are the same distribution.</summary>
public sealed class StealingOracleTests
{
    private const int Replicates = 150;

    private static readonly SchedulingCosts s_usual = new();
    private static readonly SchedulingCosts s_free = new()
    {
        ForkSeconds = 0,
        JoinSeconds = 0,
        StealSeconds = 0,
        StealAttemptSeconds = 1e-5,
    };
    private static readonly SchedulingCosts s_dear = new()
    {
        ForkSeconds = 4e-6,
        JoinSeconds = 2e-6,
        CombineSecondsPerUnit = 2e-8,
        StealSeconds = 3e-6,
        StealAttemptSeconds = 1e-6,
    };
    private static readonly SchedulingCosts s_waking = s_usual with { WakeSeconds = 4e-4 };
    private static readonly SchedulingCosts s_cold = s_usual with { RefillSecondsPerUnit = 2e-6, RefillUnits = 40 };
    private static readonly SchedulingCosts s_rareTries = s_usual with { StealAttemptSeconds = 3e-5 };

    private static readonly (ParallelPhase Phase, WorkerPool Pool)[] s_grid =
    [
        Setting(300, 1, new ConstantSizes(1e-5), s_usual, 2),
        Setting(300, 1, new ConstantSizes(1e-5), s_free, 7),
        Setting(777, 3, new ConstantSizes(1e-5), s_dear, 16),
        Setting(1024, 1, new UniformSizes(5e-6, 1.5e-5), s_usual, 8),
        Setting(1025, 1, new UniformSizes(0, 2e-7), s_usual, 4),
        Setting(500, 7, new ExponentialSizes(1e-5), s_usual, 3),
        Setting(500, 1, new ExponentialSizes(1e-5), s_rareTries, 24),
        Setting(1500, 1, new ExponentialSizes(1e-6), s_dear, 12),
        Setting(1000, 1, new GammaSizes(0.3, 3e-5), s_usual, 5),
        Setting(1000, 16, new GammaSizes(4, 2e-6), s_dear, 32),
        Setting(600, 1, new LognormalSizes(-12, 1.5), s_usual, 2),
        Setting(1200, 5, new LognormalSizes(-13, 1), s_free, 48),
        Setting(800, 1, new BoundedParetoSizes(1.2, 2e-6, 2e-3), s_usual, 6),
        Setting(2000, 1, new BoundedParetoSizes(2.5, 2e-6, 2e-4), s_rareTries, 20),
        Setting(400, 1, new SampleSizes([0, 1e-6, 1e-6, 5e-5]), s_usual, 9),
        Setting(400, 1, new SampleSizes([0, 0, 3e-5]), s_free, 3),
        Setting(40, 1, new ExponentialSizes(1e-5), s_dear, 64),
        Setting(9, 4, new ExponentialSizes(4e-7), s_usual, 4),
        Setting(600, 2, new ExponentialSizes(1e-5), s_waking, 8),
        Setting(200, 1, new ConstantSizes(2e-5), s_waking, 40),
        Setting(900, 1, new ExponentialSizes(1e-5), s_cold, 8),
        Setting(700, 10, new UniformSizes(5e-6, 1.5e-5), s_cold with { WakeSeconds = 1e-5 }, 16),
        Setting(900, 1, new ExponentialSizes(1e-5), s_usual, 8, 0.625),
        Setting(500, 3, new LognormalSizes(-12, 1), s_dear with { WakeSeconds = 1e-5, RefillSecondsPerUnit = 1e-6, RefillUnits = 64 }, 12, 0.7),
    ];

    public static TheoryData<int> Settings() => [.. Enumerable.Range(0, s_grid.Length)];

    [Theory]
    [MemberData(nameof(Settings))]
    public void PoolSimulation_AgainstTheOracle_AgreesInMeanAndSpread(int setting)
    {
        (ParallelPhase phase, WorkerPool pool) = s_grid[setting];
        Compare(phase, pool, Simulated.Pool(phase, pool.Workers, 2 * Replicates, seed: 100 + setting, pool.WorkerSpeed).Runs.ToArray(), setting);
    }

    [Theory]
    [InlineData(500, 1, 1.0, 8)]
    [InlineData(500, 6, 0.4, 8)]
    [InlineData(3, 1, 1.0, 4)]
    [InlineData(2000, 16, 2.5, 30)]
    public void GammaSums_AgainstTheOracle_AgreeWithoutDrawingAnyUnit(int units, int grain, double shape, int workers)
    {
        var phase = new ParallelPhase("no arrays", units, new GammaSizes(shape, 1e-5 / shape), grain, s_usual with { CombineSecondsPerUnit = 1e-8 });
        var pool = new WorkerPool(workers);
        var costs = new PhaseCosts(phase, pool);
        SimulatedRun[] runs = [.. Enumerable.Range(0, 2 * Replicates).Select(i => default(SimulatedRun).Then(
            PoolSimulation.RunPhase(phase, costs, null, new RandomSource(31, (ulong)i, 0), new RandomSource(31, (ulong)i, 1)), 0, 1))];
        Compare(phase, pool, runs, 1000 + units);
    }

    private static void Compare(ParallelPhase phase, WorkerPool pool, SimulatedRun[] runs, int seed)
    {
        var random = new Random(seed);
        var source = new RandomSource((ulong)seed, 0, 77);
        double[] units = new double[phase.Units];
        EventByEventOutcome[] outcomes = [.. Enumerable.Range(0, Replicates).Select(_ =>
        {
            phase.UnitSizes.Fill(source, units);
            return EventByEventPool.Run(units, phase.Grain, phase.Costs, pool, random);
        })];
        void Agree(string figure, Func<SimulatedRun, double> fast, Func<EventByEventOutcome, double> plain, bool spreadToo = true)
        {
            Sampled a = Sampled.Of([.. runs.Select(fast)]);
            Sampled b = Sampled.Of([.. outcomes.Select(plain)]);
            Assert.True(Math.Abs(a.MeanDistance(b)) < 4, $"mean of {figure}: {a} against {b}, {a.MeanDistance(b):0.0} standard errors");
            if (spreadToo)
                Assert.True(Math.Abs(a.SpreadDistance(b)) < 4, $"spread of {figure}: {a} against {b}, {a.SpreadDistance(b):0.0} standard errors");
        }

        Agree("makespan", run => run.MakespanSeconds, run => run.Makespan);
        Agree("steals", run => run.Steals, run => run.Steals);
        Agree("stolen units", run => run.StolenUnits, run => run.StolenUnits);
        Agree("popped units", run => run.PoppedUnits, run => run.PoppedUnits);
        Agree("stealing time", run => run.StealingSeconds, run => run.Stealing);
        Agree("idle time", run => run.IdleSeconds, run => run.Idle);
        Agree("useful time", run => run.UsefulSeconds, run => run.Useful);
        Agree("overhead time", run => run.OverheadSeconds, run => run.Overhead);
        // The fast one counts hopeless tries by their mean given the run: the same mean, a smaller spread.
        Agree("failed tries", run => run.FailedTries, run => run.Failed, spreadToo: false);
    }

    private static (ParallelPhase Phase, WorkerPool Pool) Setting(
        int units, int grain, TaskSizes sizes, SchedulingCosts costs, int workers, double speed = 1) =>
        (new ParallelPhase("oracle", units, sizes, grain, costs), new WorkerPool(workers, speed));
}
