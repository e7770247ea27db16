using System.Globalization;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Benchmarks;

/// <summary>
/// How far the closed forms are from the simulated mean run time, by parallel slack, over drawn settings: 8 distributions, 100 to
/// 500,000 units of 1 us to 1 ms, grains from 1 to 1024, cheap to dear forks, joins, combines, tries and steals, 2 to 1024 workers.
/// </summary>
internal static class StealingForm
{
    private static readonly double[] s_slacks = [0, 1, 3, 10, 100, double.PositiveInfinity];
    private static readonly WorkerPool[] s_pools = [.. new[] { 2, 3, 4, 6, 8, 12, 16, 24, 32, 48, 64, 96, 128, 192, 256, 512, 768, 1024 }
        .Select(workers => new WorkerPool(workers))];

    public static int Run(int settings)
    {
        // Not the seed the figures of the form were fitted on.
        var random = new Random(20_261);
        var errors = new List<(double Slack, double Phase, double WorkAndSpan)>();
        for (int i = 0; i < settings; i++)
        {
            ParallelPhase phase = Draw(random);
            int replicates = (int)Math.Clamp(2e6 / phase.Units, 12, 200);
            IReadOnlyList<SimulatedPool> simulated = PoolSimulation.Run(
                new JobStructure([phase]), s_pools, new SimulationSettings { Replicates = replicates, Seed = i });
            double work = phase.UsefulSeconds + phase.Costs.CombineSecondsPerUnit * phase.Tree.JoinedUnits;
            var job = new WorkAndSpan(work, Math.Min(work, phase.SpanSeconds), phase.Tree.Leaves, phase.Costs);
            foreach (SimulatedPool pool in simulated)
            {
                double mean = pool.MakespanSeconds.Mean;
                errors.Add((
                    phase.WorkSeconds / (pool.Pool.Workers * phase.SpanSeconds),
                    ExpectedPhase.ExpectedSeconds(phase, pool.Pool) / mean - 1,
                    StealOverhead.ExpectedSeconds(job, pool.Pool.Workers).Seconds / mean - 1));
            }
        }

        Console.WriteLine("T1/(p T_inf)     settings   by phase: median   90 %  worst   mean    by work and span: median   90 %  worst   mean   (% of the mean run time)");
        for (int i = 0; i + 1 < s_slacks.Length; i++)
            Report(string.Create(CultureInfo.InvariantCulture, $"{s_slacks[i]} to {s_slacks[i + 1]}"), [.. errors.Where(one => one.Slack >= s_slacks[i] && one.Slack < s_slacks[i + 1])]);
        Report("all", [.. errors]);
        return 0;
    }

    private static void Report(string name, (double Slack, double Phase, double WorkAndSpan)[] errors) =>
        Console.WriteLine($"{name,-16} {errors.Length,8}   {Text(errors.Select(one => one.Phase)),42}   {Text(errors.Select(one => one.WorkAndSpan)),50}");

    private static string Text(IEnumerable<double> errors)
    {
        double[] all = [.. errors];
        double[] sizes = [.. all.Select(Math.Abs).Order()];
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{100 * sizes[sizes.Length / 2],6:0.0} {100 * sizes[sizes.Length * 9 / 10],6:0.0} {100 * sizes[^1],6:0.0} {100 * all.Average(),6:0.0}");
    }

    private static ParallelPhase Draw(Random random)
    {
        T Pick<T>(params T[] of) => of[random.Next(of.Length)];
        double mean = Pick(1e-6, 1e-5, 1e-4, 1e-3);
        TaskSizes sizes = Pick<TaskSizes>(
            new ConstantSizes(mean), new UniformSizes(0, 2 * mean), new ExponentialSizes(mean), new GammaSizes(0.4, mean / 0.4),
            new LognormalSizes(Math.Log(mean) - 0.125, 0.5), new LognormalSizes(Math.Log(mean) - 0.5, 1),
            new LognormalSizes(Math.Log(mean) - 1.125, 1.5), new BoundedParetoSizes(1.5, mean * 0.344, mean * 344));
        long units = (long)Math.Pow(10, 2 + 3.7 * random.NextDouble());
        long grain = Pick(1L, 1, 1, 4, 16, 64, 256, 1024);
        return new ParallelPhase("drawn", units, sizes, grain * 4 > units ? 1 : grain, new SchedulingCosts
        {
            ForkSeconds = Pick(2e-8, 5e-8, 1.5e-7, 1e-6),
            JoinSeconds = Pick(2e-8, 5e-8, 1.5e-7),
            CombineSecondsPerUnit = Pick(0, 0, 0, 1e-9, 1e-8),
            StealAttemptSeconds = Pick(1e-7, 2e-7, 5e-7, 2e-6),
            StealSeconds = Pick(5e-7, 1e-6, 2e-6, 1e-5),
        });
    }
}
