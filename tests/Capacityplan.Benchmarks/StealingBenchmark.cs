using System.Diagnostics;
using System.Globalization;
using Capacityplan.Core;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;
using Capacityplan.Core.Tests.Stealing;
using MathNet.Numerics.Statistics;

namespace Capacityplan.Benchmarks;

/// <summary>
/// Times the pool's simulation: milliseconds a run without drawing the units, drawing them, a whole speedup curve, and one run of
/// the event-by-event oracle. Exponential units of 10 us, forks and joins of 50 ns, tries every 200 ns, steals of 1 us.
/// </summary>
internal static class StealingBenchmark
{
    private static readonly int[] s_workers = [16, 64, 256, 1024];

    public static int Run(bool oracleToo)
    {
        WarmUp();
        Console.WriteLine("ms of processor a run (median)      p=16      64     256    1024   ns a steal at 1024   drawing ms");
        Table("N = 1e6", new ParallelPhase("exponential", 1_000_000, new ExponentialSizes(1e-5)), drawn: true);
        Table("N = 1e7", new ParallelPhase("exponential", 10_000_000, new ExponentialSizes(1e-5)), drawn: true);
        Table("N = 1e8, grain 64", new ParallelPhase("exponential", 100_000_000, new ExponentialSizes(1e-5), 64), drawn: true);
        Table("N = 1e10, nothing drawn", new ParallelPhase("exponential", 10_000_000_000, new ExponentialSizes(1e-5)), drawn: false);
        Curve();
        if (oracleToo)
            Oracle();
        return 0;
    }

    // Until what is timed has been compiled for good, which takes some thousand calls and happens on another thread.
    private static void WarmUp()
    {
        ParallelPhase[] phases =
        [
            new("drawn", 1 << 16, new ExponentialSizes(1e-5)), new("drawn", 1 << 16, new LognormalSizes(-12, 1), 64),
            new("nothing drawn", 1 << 21, new ExponentialSizes(1e-5)),
        ];
        var clock = Stopwatch.StartNew();
        for (ulong round = 0; clock.Elapsed < TimeSpan.FromSeconds(3); round++)
        {
            foreach (ParallelPhase phase in phases)
            {
                DrawnUnits? units = phase.Units < 1 << 20 ? new DrawnUnits(phase) : null;
                units?.Draw(new RandomSource(1, round));
                PoolSimulation.RunPhase(
                    phase, new PhaseCosts(phase, new WorkerPool(16)), units, new RandomSource(1, round), new RandomSource(2, round));
            }
        }
    }

    private static void Table(string name, ParallelPhase phase, bool drawn)
    {
        DrawnUnits? units = drawn ? new DrawnUnits(phase) : null;
        double drawing = 0;
        if (units is not null)
        {
            // The first draw also touches fresh memory and compiles; the figure is a later one.
            int draws = phase.Units > 20_000_000 ? 2 : 5;
            drawing = Enumerable.Range(0, draws).Select(i => Time(() => units.Draw(new RandomSource(1, (ulong)i)))).Min();
        }

        double nanosecondsPerSteal = 0;
        var cells = new List<string>();
        foreach (int workers in s_workers)
        {
            var costs = new PhaseCosts(phase, new WorkerPool(workers));
            var times = new List<double>();
            double steals = 0, spent = 0;
            for (ulong replicate = 0; replicate < 6 || spent < 600 && replicate < 500; replicate++)
            {
                PhaseRun run = default;
                double time = Time(() => run = PoolSimulation.RunPhase(
                    phase, costs, units, new RandomSource(1, replicate), new RandomSource(2, replicate)));
                spent += time;
                if (replicate < 3)
                    continue;
                times.Add(time);
                steals += run.Steals;
            }

            nanosecondsPerSteal = times.Sum() * 1e6 / steals;
            cells.Add(string.Create(CultureInfo.InvariantCulture, $"{times.Median(),8:0.00}"));
        }

        Console.WriteLine(string.Create(
            CultureInfo.InvariantCulture, $"{name,-32}{string.Concat(cells)}   {nanosecondsPerSteal,18:0}   {drawing,10:0.0}"));
    }

    private static void Curve()
    {
        var job = new JobStructure([new ParallelPhase("lognormal", 1_000_000, new LognormalSizes(-12, 1))]);
        WorkerPool[] pools = [.. new[] { 1, 2, 4, 8, 16, 32, 64, 128, 192, 256, 512, 1024 }.Select(workers => new WorkerPool(workers))];
        PoolSimulation.Run(job, pools, new SimulationSettings { Replicates = 2 });
        var clock = Stopwatch.StartNew();
        TimeSpan before = Environment.CpuUsage.TotalTime;
        double? first = null;
        double firstProcessor = 0;
        int firstRuns = 0;
        var progress = new FirstReport(so =>
        {
            // 1 % of the mean: the standard error of every pool's makespan, known from two runs on.
            if (first is null && so.Completed >= 2 && so.SoFar.All(pool =>
                pool.MakespanSeconds.StandardDeviation / Math.Sqrt(so.Completed) <= 0.005 * pool.MakespanSeconds.Mean))
            {
                first = clock.Elapsed.TotalMilliseconds;
                firstProcessor = (Environment.CpuUsage.TotalTime - before).TotalMilliseconds;
                firstRuns = so.Completed;
            }
        });
        IReadOnlyList<SimulatedPool> result = PoolSimulation.Run(job, pools, new SimulationSettings(), progress);
        Console.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"curve of 12 pools, 1e6 lognormal units: within 1 % after {firstRuns} runs, {first:0} ms ({firstProcessor:0} ms of processor), 200 replicates in {clock.Elapsed.TotalSeconds:0.00} s, {(Environment.CpuUsage.TotalTime - before).TotalSeconds:0.00} s of processor (speedup at 1024: {result[0].MakespanSeconds.Mean / result[^1].MakespanSeconds.Mean:0})"));
    }

    private static void Oracle()
    {
        var phase = new ParallelPhase("exponential", 10_000_000, new ExponentialSizes(1e-5));
        double[] units = new double[phase.Units];
        phase.UnitSizes.Fill(new RandomSource(1), units);
        double time = Time(() => EventByEventPool.Run(units, 1, phase.Costs, new WorkerPool(64), new Random(1)));
        Console.WriteLine(string.Create(
            CultureInfo.InvariantCulture, $"event by event, N = 1e7, p = 64: {time:0} ms a run, {2 * phase.Tree.Forks / time / 1000:0.0} million ranges a second"));
    }

    // Processor time, which other programs on the machine do not lengthen as they do the clock's.
    private static double Time(Action work)
    {
        TimeSpan before = Environment.CpuUsage.TotalTime;
        work();
        return (Environment.CpuUsage.TotalTime - before).TotalMilliseconds;
    }

    private sealed class FirstReport(Action<SimulationProgress> report) : IProgress<SimulationProgress>
    {
        public void Report(SimulationProgress value) => report(value);
    }
}
