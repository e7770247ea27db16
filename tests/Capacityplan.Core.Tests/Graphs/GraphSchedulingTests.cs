using Capacityplan.Core.Graphs;
using Capacityplan.Core.Laws;
using CsCheck;

namespace Capacityplan.Core.Tests.Graphs;

public sealed class GraphSchedulingTests
{
    private static readonly SchedulingEffort s_little = new() { Placements = 100_000 };

    private static readonly Gen<(TaskGraph Graph, int Cores)> s_graphs = Gen
        .Select(Gen.ULong, Gen.Int[1, 40], Gen.Double[0, 0.3], Gen.Bool, Gen.Int[1, 9])
        .Select(drawn => (RandomGraphs.Draw(new RandomSource(drawn.Item1), drawn.Item2, drawn.Item3, drawn.Item4), drawn.Item5));

    // Our own table, under the rule its SOURCE.md states.
    [Fact]
    public void PlainRules_StandardTaskGraphs_GiveTheReferenceMakespans()
    {
        IReadOnlyList<ReferenceTable> rows = ReferenceTable.Rows("stg/stg-greedy.csv");
        Assert.Equal(144, rows.Count);
        Assert.All(rows, row =>
        {
            TaskGraph graph = StandardTaskGraphs.Of(row);
            int cores = (int)row.Number("m");
            Assert.Equal(row.Number("fifo_makespan"), GraphScheduling.ArrivalOrder(graph, cores).MakespanSeconds);
            Assert.Equal(row.Number("id_order_makespan"), GraphScheduling.NumberOrder(graph, cores).MakespanSeconds);
        });
    }

    [Fact]
    public void Outlook_StandardTaskGraphs_IsNeverBelowAKnownOptimumAndNearItOnAverage()
    {
        IReadOnlyList<ReferenceTable> rows = ReferenceTable.Rows("stg/stg-reference.csv");
        Assert.Equal(131, rows.Count);
        double[] ratios = [.. rows.Select(row =>
        {
            TaskGraph graph = StandardTaskGraphs.Of(row);
            double optimum = row.Number("optimal_makespan");
            Assert.Equal((row.Number("tasks"), row.Number("work"), row.Number("span")), (graph.Count, graph.WorkSeconds, graph.SpanSeconds));
            GraphOutlook outlook = GraphScheduling.Outlook(graph, (int)row.Number("m"), s_little);
            AssertValid(graph, outlook.Schedule);
            double made = outlook.Schedule.MakespanSeconds;
            Assert.True(outlook.FloorSeconds <= optimum && made >= optimum, $"{row}: floor {outlook.FloorSeconds}, made {made}");
            Assert.True(!outlook.IsOptimal || made == optimum, $"{row}: not optimal, {made}");
            return made / optimum;
        })];
        Assert.True(ratios.Average() <= 1.002, $"{ratios.Average()}");
    }

    // The set leaves these open; reference/stg/SOURCE.md says what is known.
    [Fact]
    public void Outlook_StandardTaskGraphsLeftOpen_KeepsToWhatIsKnown()
    {
        IReadOnlyList<ReferenceTable> rows = ReferenceTable.Rows("stg/stg-open.csv");
        Assert.Equal(13, rows.Count);
        Assert.All(rows, row =>
        {
            GraphOutlook outlook = GraphScheduling.Outlook(StandardTaskGraphs.Of(row), (int)row.Number("m"), s_little);
            Assert.True(outlook.Schedule.MakespanSeconds >= row.Number("tightened_lower"), row.ToString());
            Assert.True(outlook.FloorSeconds <= row.Number("tightened_upper"), row.ToString());
        });
    }

    [Fact]
    public void Schedules_AnyGraph_AreValidAndBetweenFloorAndGreedyCeiling() =>
        s_graphs.ForAll(
            drawn =>
            {
                (TaskGraph graph, int cores) = drawn;
                double floor = WorkSpanLaws.FloorSeconds(graph.WorkSeconds, graph.SpanSeconds, cores);
                double ceiling = WorkSpanLaws.GreedyCeilingSeconds(graph.WorkSeconds, graph.SpanSeconds, cores);
                GraphOutlook outlook = GraphScheduling.Outlook(graph, cores, new SchedulingEffort { Placements = 2000 });
                GraphSchedule[] plain =
                [
                    GraphScheduling.ArrivalOrder(graph, cores), GraphScheduling.LongestRemainingFirst(graph, cores), GraphScheduling.NumberOrder(graph, cores),
                ];
                foreach (GraphSchedule schedule in plain.Append(outlook.Schedule))
                {
                    AssertValid(graph, schedule);
                    Assert.InRange(schedule.MakespanSeconds, floor * (1 - 1e-12), ceiling * (1 + 1e-12));
                    Assert.True(schedule.MakespanSeconds >= outlook.FloorSeconds * (1 - 1e-12));
                    Assert.True(schedule.MakespanSeconds >= outlook.Schedule.MakespanSeconds * (1 - 1e-12));
                }

                Assert.Equal(plain[0].MakespanSeconds, outlook.ArrivalOrderSeconds, 1e-12 * ceiling);
                Assert.Equal(plain[1].MakespanSeconds, outlook.LongestRemainingFirstSeconds, 1e-12 * ceiling);
                Assert.True(outlook.FloorSeconds >= floor * (1 - 1e-12));
            },
            300);

    [Fact]
    public void Outlook_SmallGraph_EnclosesTheOptimumOfAllOrders() =>
        Gen.Select(Gen.ULong, Gen.Int[1, 6], Gen.Double[0, 0.5], Gen.Bool, Gen.Int[2, 3]).ForAll(
            drawn =>
            {
                TaskGraph graph = RandomGraphs.Draw(new RandomSource(drawn.Item1), drawn.Item2, drawn.Item3, drawn.Item4);
                GraphOutlook outlook = GraphScheduling.Outlook(graph, drawn.Item5, s_little);
                double optimum = OptimumOfAllOrders(graph, drawn.Item5);
                Assert.True(outlook.FloorSeconds <= optimum * (1 + 1e-9));
                Assert.True(outlook.Schedule.MakespanSeconds >= optimum * (1 - 1e-9));
                Assert.True(!outlook.IsOptimal || outlook.Schedule.MakespanSeconds <= optimum * (1 + 1e-9));
            },
            150);

    [Fact]
    public void Outlook_SameSeed_GivesTheSameSchedule()
    {
        TaskGraph graph = RandomGraphs.Draw(new RandomSource(5), 60, 0.08);
        GraphSchedule first = GraphScheduling.Outlook(graph, 3, s_little).Schedule;
        GraphSchedule second = GraphScheduling.Outlook(graph, 3, s_little).Schedule;
        Assert.Equal(first.Tasks.ToArray(), second.Tasks.ToArray());
    }

    // Three tasks of 2 s on two cores: the laws say 3 s, but tasks are not cut and take whole steps of 2 s.
    [Fact]
    public void Outlook_ThreeEqualTasksOnTwoCores_IsProvedOptimalByRoundingUp()
    {
        GraphOutlook outlook = GraphScheduling.Outlook(RandomGraphs.Make([2, 2, 2]), 2);
        Assert.Equal((4.0, 4.0, 3.0, true), (outlook.Schedule.MakespanSeconds, outlook.FloorSeconds, outlook.LawFloorSeconds, outlook.IsOptimal));
    }

    // Five tasks of 3 s between two of 10 s: to be done by 25 s, each of the five would have to run from 12 to 13 s.
    [Fact]
    public void Outlook_ForkBetweenTwoLongTasks_FloorCountsTheInterval()
    {
        TaskGraph graph = RandomGraphs.Make(
            [10, 3, 3, 3, 3, 3, 10], (0, 1), (0, 2), (0, 3), (0, 4), (0, 5), (1, 6), (2, 6), (3, 6), (4, 6), (5, 6));
        GraphOutlook outlook = GraphScheduling.Outlook(graph, 4);
        Assert.Equal(23, outlook.LawFloorSeconds);
        Assert.Equal((26.0, 26.0, true), (outlook.FloorSeconds, outlook.Schedule.MakespanSeconds, outlook.IsOptimal));
    }

    [Fact]
    public void Outlook_CancelledBeforehand_Ends()
    {
        TaskGraph graph = RandomGraphs.Draw(new RandomSource(1), 300, 0.02);
        Assert.Throws<OperationCanceledException>(() => GraphScheduling.Outlook(graph, 4, cancellation: new CancellationToken(true)));
    }

    internal static void AssertValid(TaskGraph graph, GraphSchedule schedule, double extraSeconds = 0)
    {
        ReadOnlySpan<ScheduledTask> tasks = schedule.Tasks;
        Assert.Equal(graph.Count, tasks.Length);
        for (int i = 0; i < tasks.Length; i++)
        {
            ScheduledTask task = tasks[i];
            Assert.Equal(i, task.Task);
            Assert.InRange(task.Worker, 0, schedule.Cores - 1);
            Assert.Equal(graph.Seconds[i] + extraSeconds, task.EndSeconds - task.StartSeconds, 1e-9 * schedule.MakespanSeconds);
            Assert.InRange(task.EndSeconds, task.StartSeconds, schedule.MakespanSeconds);
            foreach (int parent in graph.Parents(i))
                Assert.True(task.StartSeconds >= tasks[parent].EndSeconds);
        }

        foreach (IGrouping<int, ScheduledTask> worker in tasks.ToArray().GroupBy(task => task.Worker))
        {
            ScheduledTask[] own = [.. worker.OrderBy(task => task.StartSeconds).ThenBy(task => task.EndSeconds)];
            for (int i = 1; i < own.Length; i++)
                Assert.True(own[i].StartSeconds >= own[i - 1].EndSeconds);
        }
    }

    // Every schedule in which no task can start sooner comes from placing tasks in the order they start in, each on the worker
    // that is free first; so the best over all orders is the best there is.
    private static double OptimumOfAllOrders(TaskGraph graph, int cores)
    {
        double best = double.PositiveInfinity;
        double[] ends = new double[graph.Count];
        Place(0, new double[cores], 0);
        return best;

        void Place(int placed, double[] free, double makespan)
        {
            if (makespan >= best)
                return;
            if (placed == (1 << graph.Count) - 1)
            {
                best = makespan;
                return;
            }

            for (int task = 0; task < graph.Count; task++)
            {
                if ((placed & 1 << task) != 0)
                    continue;
                bool isReady = true;
                double[] next = [.. free.Order()];
                double start = next[0];
                foreach (int parent in graph.Parents(task))
                {
                    isReady &= (placed & 1 << parent) != 0;
                    start = Math.Max(start, ends[parent]);
                }

                if (!isReady)
                    continue;
                double kept = ends[task];
                next[0] = ends[task] = start + graph.Seconds[task];
                Place(placed | 1 << task, next, Math.Max(makespan, next[0]));
                ends[task] = kept;
            }
        }
    }
}
