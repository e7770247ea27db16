using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;
using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Tests.Charts;

/// <summary>Small simulated jobs for the charts of the pool, with those at the edges of what can be described.</summary>
internal static class SimulatedRuns
{
    public static readonly JobStructure Usual = new(
    [
        new SerialPhase("read", 5e-3),
        new ParallelPhase("grid", 200, new ExponentialSizes(1e-3)),
        new ParallelPhase("contour", 400, new ConstantSizes(1e-4), 8),
        new SerialPhase("write", 2e-3),
    ]);

    private static readonly SchedulingCosts s_free = new() { ForkSeconds = 0, JoinSeconds = 0, StealSeconds = 0, CombineSecondsPerUnit = 0 };

    /// <summary>Jobs by what is odd about them.</summary>
    private static readonly Dictionary<string, JobStructure> s_jobs = new()
    {
        ["usual"] = Usual,
        ["constant"] = new([new ParallelPhase("grid", 64, new ConstantSizes(0.25), 1, s_free)]),
        ["serial"] = new([new SerialPhase("read", 3), new SerialPhase("write", 4)]),
        ["zero-length phase"] = new([new SerialPhase("read", 0), new ParallelPhase("grid", 200, new UniformSizes(0, 1)), new SerialPhase("write", 0)]),
        ["no time at all"] = new([new ParallelPhase("grid", 1, new SampleSizes([.. Enumerable.Repeat(0.0, 999), 1]), 1, s_free)]),
        ["mostly no time"] = new([new ParallelPhase("grid", 3, new SampleSizes([0, 0, 0, 0, 0, 0, 0, 1]), 1, s_free)]),
        ["one unit"] = new([new ParallelPhase("grid", 1, new GammaSizes(2, 5))]),
        ["never split"] = new([new ParallelPhase("grid", 200, new UniformSizes(1, 2), 1_000_000)]),
        ["tiny"] = new([new ParallelPhase("grid", 200, new UniformSizes(1e-12, 2e-12), 1, s_free)]),
        ["huge"] = new([new SerialPhase("read", 1e9), new ParallelPhase("grid", 200, new UniformSizes(1e8, 1e9))]),
        ["heavy tail"] = new([new ParallelPhase("grid", 200, new BoundedParetoSizes(0.6, 1e-6, 100))]),
    };

    public static IEnumerable<string> Names => s_jobs.Keys;

    public static JobStructure Job(string name) => s_jobs[name];

    public static SimulatedPlace Place(int workers, double workerSpeed = 1, double speed = 1, string? name = null) =>
        new(new WorkerPool(workers, workerSpeed), name ?? (workers == 1 ? "1 worker" : $"{workers} workers"), speed);

    public static SimulatedPool Pool(JobStructure job, WorkerPool pool, int replicates = 30) => Pools(job, [pool], replicates)[0];

    public static IReadOnlyList<SimulatedPool> Pools(JobStructure job, WorkerPool[] pools, int replicates = 30) =>
        PoolSimulation.Run(job, pools, new SimulationSettings { Replicates = replicates, Seed = 1, Threads = 1 });

    public static IReadOnlyList<SimulatedPool> Curve(JobStructure job) => Pools(job, [.. Enumerable.Range(0, 7).Select(power => new WorkerPool(1 << power))]);

    /// <summary>Every chart of a job's simulation on a pool.</summary>
    public static IEnumerable<ChartModel> Charts(JobStructure job, SimulatedPlace place)
    {
        SimulatedPool detail = Pool(job, place.Pool);
        yield return TimeSharesChart.Build(Curve(job), detail, place);
        yield return RunSpreadChart.Build(detail, place);
        yield return RunSpreadChart.Build(Pool(job, place.Pool, 2), place);
        RunPicture picture = RunPicture.Of(job, place.Pool, 1, detail.TypicalReplicate);
        yield return RunPictureChart.Build(picture, place);
        yield return RunPictureChart.Build(picture, place, 0.98, 1);
        foreach ((int number, Phase phase) in job.Phases.Index())
        {
            if (phase is ParallelPhase parallel)
                yield return SplitSizeChart.Build(Split(job, number, place.Pool), parallel, place);
        }
    }

    public static GrainCurve Split(JobStructure job, int phase, WorkerPool pool, IReadOnlyList<long>? grains = null) =>
        GrainCurve.Simulate(job, phase, pool, grains, new SimulationSettings { Replicates = 20, Seed = 1, Threads = 1 });
}
