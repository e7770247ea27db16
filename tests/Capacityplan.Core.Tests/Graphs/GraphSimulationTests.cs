using Capacityplan.Core.Graphs;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Laws;
using Capacityplan.Core.Stealing;
using CsCheck;

namespace Capacityplan.Core.Tests.Graphs;

public sealed class GraphSimulationTests
{
    private static readonly SchedulingCosts s_dear = new() { ForkSeconds = 0.02, JoinSeconds = 0.03, StealAttemptSeconds = 0.1, StealSeconds = 0.2 };

    [Fact]
    public void Run_OneWorker_TakesWorkAndOverheadExactly() =>
        Gen.Select(Gen.ULong, Gen.Int[1, 40], Gen.Double[0, 0.3]).ForAll(
            drawn =>
            {
                TaskGraph graph = RandomGraphs.Draw(new RandomSource(drawn.Item1), drawn.Item2, drawn.Item3);
                SimulatedRun run = One(graph, s_dear, new WorkerPool(1)).Runs[0];
                Assert.Equal(graph.WorkSeconds + 0.05 * graph.Count, run.MakespanSeconds, 1e-12 * run.MakespanSeconds);
                Assert.Equal((0, graph.Count, 0.0), (run.Steals, run.Pops, run.IdleSeconds));
            },
            100);

    [Fact]
    public void Run_AnyGraph_KeepsTheFloorAndItsTimeAddsUp() =>
        Gen.Select(Gen.ULong, Gen.Int[1, 40], Gen.Double[0, 0.3], Gen.Int[2, 9], Gen.Bool).ForAll(
            drawn =>
            {
                TaskGraph graph = RandomGraphs.Draw(new RandomSource(drawn.Item1), drawn.Item2, drawn.Item3);
                int workers = drawn.Item4;
                SchedulingCosts costs = s_dear with { WakeSeconds = drawn.Item5 ? 0.5 : 0, RefillSecondsPerUnit = 0.1, RefillUnits = 3 };
                SimulatedPool pool = One(graph, costs, new WorkerPool(workers), 3);
                foreach (SimulatedRun run in pool.Runs)
                {
                    Assert.True(run.MakespanSeconds >= WorkSpanLaws.FloorSeconds(run.WorkSeconds, run.SpanSeconds, workers) * (1 - 1e-12));
                    Assert.Equal(
                        workers * run.MakespanSeconds, run.UsefulSeconds + run.OverheadSeconds + run.StealingSeconds + run.IdleSeconds,
                        1e-9 * workers * run.MakespanSeconds);
                    Assert.Equal(0.3 * run.Steals, run.StealingSeconds, 1e-9);
                    Assert.Equal(graph.Count, run.Steals + run.Pops);
                }

                GraphSchedule schedule = GraphSimulation.Schedule(graph, costs, new WorkerPool(workers), 1, 2);
                GraphSchedulingTests.AssertValid(graph, schedule, 0.05);
                Assert.Equal(pool.Runs[2].MakespanSeconds, schedule.MakespanSeconds);
            },
            200);

    // Two tasks on two workers are dealt out, so nothing is stolen; in a row there is nothing to share.
    [Fact]
    public void Run_TwoTasks_TakeTheirStatedTime()
    {
        SimulatedRun apart = One(RandomGraphs.Make([3, 5]), s_dear, new WorkerPool(2)).Runs[0];
        Assert.Equal((5.05, 0L), (apart.MakespanSeconds, apart.Steals));
        SimulatedRun inARow = One(RandomGraphs.Make([3, 5], (0, 1)), s_dear, new WorkerPool(2)).Runs[0];
        Assert.Equal(8.1, inARow.MakespanSeconds, 1e-12);
        Assert.Equal(8.1, inARow.SpanSeconds, 1e-12);
        Assert.Equal(0, inARow.Steals);
    }

    // A task that sets two free, each of y seconds with its fork and join. The worker pops one, and a thief takes the other
    // unless none has come within y: q = 1 - exp(-y/a), mean makespan root + y + (a + o_steal) q, derived as for two units.
    [Theory]
    [InlineData(2)]
    [InlineData(5)]
    public void Run_TwoChildren_MeanMakespanIsTheClosedForm(int workers)
    {
        const int Replicates = 20_000;
        SchedulingCosts costs = s_dear with { StealAttemptSeconds = 1.5 };
        SimulatedPool pool = One(RandomGraphs.Make([1, 2, 2], (0, 1), (0, 2)), costs, new WorkerPool(workers), Replicates);
        double q = 1 - Math.Exp(-2.05 / 1.5);
        Assert.Equal(q, pool.Steals.Mean, 4 * Math.Sqrt(q * (1 - q) / Replicates));
        double mean = 1.05 + 2.05 + (1.5 + 0.2) * q;
        Assert.Equal(mean, pool.MakespanSeconds.Mean, 4 * pool.MakespanSeconds.StandardDeviation / Math.Sqrt(Replicates));
        // Failed tries: (p - 1) thieves, then those that are left, at 1/a each; the last of the time nobody has anything.
        Assert.True(pool.MeanFailedTries > 0);
    }

    // The same model told plainly, every try an event: means of makespan, steals and failed tries agree.
    [Fact]
    public void Run_StandardGraph_AgreesWithTheModelToldTryByTry()
    {
        const int Replicates = 400;
        TaskGraph graph = StandardTaskGraphs.All["50/rand0000"];
        SchedulingCosts costs = new() { ForkSeconds = 0.2, JoinSeconds = 0.1, StealAttemptSeconds = 0.7, StealSeconds = 0.4, WakeSeconds = 2 };
        SimulatedPool pool = One(graph, costs, new WorkerPool(5, 0.8), Replicates);
        (double Makespan, double Steals, double Failed)[] plain =
            [.. Enumerable.Range(0, Replicates).Select(seed => TryByTryGraph.Run(graph, costs, new WorkerPool(5, 0.8), new Random(seed)))];
        AssertAgree(pool.MakespanSeconds.Mean, [.. plain.Select(run => run.Makespan)]);
        AssertAgree(pool.Steals.Mean, [.. plain.Select(run => run.Steals)]);
        AssertAgree(pool.MeanFailedTries, [.. plain.Select(run => run.Failed)]);
    }

    [Fact]
    public void Run_AnyNumberOfThreads_GivesTheSame()
    {
        TaskGraph graph = StandardTaskGraphs.All["50/rand0000"];
        WorkerPool[] pools = [new(3), new(8)];
        IReadOnlyList<SimulatedPool> one = GraphSimulation.Run(graph, s_dear, pools, new SimulationSettings { Replicates = 20, Seed = 7, Threads = 1 });
        IReadOnlyList<SimulatedPool> four = GraphSimulation.Run(graph, s_dear, pools, new SimulationSettings { Replicates = 20, Seed = 7, Threads = 4 });
        Assert.Equal(one.SelectMany(pool => pool.Runs), four.SelectMany(pool => pool.Runs));
        Assert.NotEqual(one[0].Runs[0].MakespanSeconds, one[0].Runs[1].MakespanSeconds);
    }

    [Fact]
    public void Run_NoTimeBetweenTries_IsRefused() =>
        Assert.Throws<ArgumentOutOfRangeException>(
            "costs", () => One(RandomGraphs.Make([1]), s_dear with { StealAttemptSeconds = 0 }, new WorkerPool(2)));

    [Fact]
    public void Run_Cancelled_Ends() =>
        Assert.Throws<OperationCanceledException>(() => GraphSimulation.Run(
            RandomGraphs.Make([1]), s_dear, [new WorkerPool(2)], cancellation: new CancellationToken(true)));

    private static SimulatedPool One(TaskGraph graph, SchedulingCosts costs, WorkerPool pool, int replicates = 1) =>
        GraphSimulation.Run(graph, costs, [pool], new SimulationSettings { Replicates = replicates })[0];

    // Four standard errors of the difference of two means over equally many runs.
    private static void AssertAgree(double mean, double[] plain)
    {
        double other = plain.Average();
        double variance = plain.Sum(value => (value - other) * (value - other)) / (plain.Length - 1);
        Assert.Equal(other, mean, 4 * Math.Sqrt(2 * variance / plain.Length));
    }
}
