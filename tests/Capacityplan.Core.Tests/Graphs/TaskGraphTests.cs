using System.Collections.Immutable;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Reading;
using CsCheck;
using QuikGraph;
using QuikGraph.Algorithms;
using QuikGraph.Algorithms.ShortestPath;

namespace Capacityplan.Core.Tests.Graphs;

public sealed class TaskGraphTests
{
    // By hand: 0 (2 s) before 1 (3 s) and 2 (1 s), both before 3 (4 s); 4 (5 s) alone.
    private static readonly TaskGraph s_diamond = RandomGraphs.Make([2, 3, 1, 4, 5], (0, 1), (0, 2), (1, 3), (2, 3), (1, 3));

    [Fact]
    public void TaskGraph_Diamond_HasItsFigures()
    {
        Assert.Equal((5, 4), (s_diamond.Count, s_diamond.Edges));
        Assert.Equal((15.0, 9.0), (s_diamond.WorkSeconds, s_diamond.SpanSeconds));
        Assert.Equal(15.0 / 9, s_diamond.Parallelism!.Value, 1e-12);
        Assert.Equal([0, 1, 3], s_diamond.CriticalPath());
        Assert.Equal([0, 0, 2, 0, 4], Enumerable.Range(0, 5).Select(s_diamond.SlackSeconds));
        Assert.Equal([0, 2, 2, 5, 0], s_diamond.EarliestStartSeconds.ToArray());
        Assert.Equal(2, s_diamond.MaxLevelWidth);
        Assert.Equal(["1", "2", "3", "4", "5"], Enumerable.Range(0, 5).Select(s_diamond.Id));
    }

    [Fact]
    public void WidthProfile_Diamond_FollowsWhatRuns()
    {
        var profile = WidthProfile.Of(s_diamond);
        Assert.Equal([new(0, 2), new(2, 3), new(3, 2), new(5, 1), new(9, 0)], profile.Steps);
        Assert.Equal(3, profile.MaxWidth);
        Assert.Equal([new(0, 3), new(4.5, 2), new(9, 0)], profile.Thinned(3));
    }

    [Fact]
    public void TryCreate_Cycle_IsShown()
    {
        Assert.Null(TaskGraph.TryCreate([], [1, 1, 1, 1], [(0, 1), (1, 2), (2, 3), (3, 1)], out ImmutableArray<int> cycle));
        Assert.Equal([1, 2, 3], cycle.Order());
        Assert.Equal(3, cycle.Length);
        Assert.Null(TaskGraph.TryCreate([], [1], [(0, 0)], out cycle));
        Assert.Equal([0], cycle);
    }

    [Fact]
    public void TryCreate_Nonsense_IsRefused()
    {
        Assert.Throws<ArgumentException>("seconds", () => TaskGraph.TryCreate([], [], [], out _));
        Assert.Throws<ArgumentOutOfRangeException>("seconds", () => TaskGraph.TryCreate([], [-1], [], out _));
        Assert.Throws<ArgumentOutOfRangeException>("seconds", () => TaskGraph.TryCreate([], [double.NaN], [], out _));
        Assert.Throws<ArgumentOutOfRangeException>("edges", () => TaskGraph.TryCreate([], [1, 1], [(0, 2)], out _));
        Assert.Throws<ArgumentException>("ids", () => TaskGraph.TryCreate(["a"], [1, 1], [], out _));
    }

    [Fact]
    public void WidthProfile_AnyGraph_HasTheWorkAsItsAreaAndThinsToNoLess() =>
        Gen.Select(Gen.ULong, Gen.Int[1, 60], Gen.Double[0, 0.3]).ForAll(
            drawn =>
            {
                TaskGraph graph = RandomGraphs.Draw(new RandomSource(drawn.Item1), drawn.Item2, drawn.Item3);
                var profile = WidthProfile.Of(graph);
                Assert.Equal(graph.WorkSeconds, Area(profile.Steps), 1e-9 * graph.WorkSeconds);
                ImmutableArray<WidthStep> thinned = profile.Thinned(5);
                Assert.True(thinned.Length <= Math.Max(5, profile.Steps.Length));
                Assert.Equal(profile.MaxWidth, thinned.Max(step => step.Tasks));
                Assert.True(Area(thinned) >= graph.WorkSeconds * (1 - 1e-9));
            },
            200);

    // A second opinion: QuikGraph's own topological order and longest path.
    [Fact]
    public void TaskGraph_AnyGraph_AgreesWithQuikGraph() =>
        Gen.Select(Gen.ULong, Gen.Int[1, 60], Gen.Double[0, 0.3]).ForAll(
            drawn =>
            {
                TaskGraph graph = RandomGraphs.Draw(new RandomSource(drawn.Item1), drawn.Item2, drawn.Item3);
                AdjacencyGraph<int, SEdge<int>> other = ToQuikGraph(graph);
                int[] sorted = [.. other.TopologicalSort().Where(task => task >= 0 && task < graph.Count)];
                Assert.Equal(sorted.Order(), graph.Order.ToArray().Order());
                AssertInOrder(graph, graph.Order);
                AssertInOrder(graph, sorted);
                Assert.Equal(LongestPath(other, graph), graph.SpanSeconds, 1e-12 * graph.WorkSeconds);
                int[] path = [.. graph.CriticalPath()];
                Assert.Equal(graph.SpanSeconds, path.Sum(task => graph.Seconds[task]), 1e-12 * graph.WorkSeconds);
                Assert.All(path.Zip(path.Skip(1)), step => Assert.Contains(step.Second, graph.Children(step.First).ToArray()));
                Assert.All(path, task => Assert.Equal(0, graph.SlackSeconds(task)));
            },
            200);

    [Fact]
    public void TryCreate_AnyEdges_FindsACycleExactlyWhereQuikGraphDoes() =>
        Gen.Select(Gen.Int[1, 12], Gen.Select(Gen.Int[0, 11], Gen.Int[0, 11]).Array[0, 14]).ForAll(
            drawn =>
            {
                (int tasks, (int, int)[] all) = drawn;
                (int Parent, int Child)[] edges = [.. all.Where(edge => edge.Item1 < tasks && edge.Item2 < tasks)];
                var graph = TaskGraph.TryCreate([], Enumerable.Repeat(1.0, tasks), edges, out ImmutableArray<int> cycle);
                var other = new AdjacencyGraph<int, SEdge<int>>();
                other.AddVertexRange(Enumerable.Range(0, tasks));
                other.AddEdgeRange(edges.Select(edge => new SEdge<int>(edge.Parent, edge.Child)));
                Assert.Equal(other.IsDirectedAcyclicGraph(), graph is not null);
                Assert.Equal(graph is null, cycle.Length > 0);
                Assert.Equal(cycle.Length, cycle.Distinct().Count());
                for (int i = 0; i < cycle.Length; i++)
                    Assert.Contains((cycle[i], cycle[(i + 1) % cycle.Length]), edges);
            });

    [Fact]
    public void OnSpan_AnyGraph_IsWhatTheSpanOfTheShortenedGraphSays() =>
        Gen.Select(Gen.ULong, Gen.Int[1, 40], Gen.Double[0, 0.4], Gen.Double[0.01, 1]).ForAll(
            drawn =>
            {
                TaskGraph graph = RandomGraphs.Draw(new RandomSource(drawn.Item1), drawn.Item2, drawn.Item3);
                Dictionary<int, double> gains = ShorteningGains.OnSpan(graph, drawn.Item4, 1000).ToDictionary(gain => gain.Task, gain => gain.SpanGainSeconds);
                for (int task = 0; task < graph.Count; task++)
                {
                    double shorter = graph.WithSeconds(task, graph.Seconds[task] * (1 - drawn.Item4)).SpanSeconds;
                    Assert.Equal(graph.SpanSeconds - shorter, gains.GetValueOrDefault(task), 1e-10 * graph.SpanSeconds);
                }
            },
            200);

    [Fact]
    public void OnSchedule_ChainOnTwoCores_GainsWhatIsSaved() =>
        Assert.Equal(0.3, ShorteningGains.OnSchedule(RandomGraphs.Make([3, 4, 1], (0, 1)), 2, 0), 1e-12);

    // Real traces; reference/workflows/SOURCE.md says of what.
    [Fact]
    public void TaskGraph_WorkflowTraces_HaveTheFiguresOfTheReferenceTable()
    {
        IReadOnlyList<ReferenceTable> rows = ReferenceTable.Rows("workflows/workflow-reference.csv");
        Assert.Equal(8, rows.Count);
        Assert.All(rows, row =>
        {
            TaskGraphReading reading = TaskGraphReader.Read(File.ReadAllText(
                Path.Combine(AppContext.BaseDirectory, "reference", "workflows", row.Text("file"))));
            Assert.Empty(reading.Problems);
            Assert.Equal(TaskGraphFormat.WorkflowTrace, reading.Format);
            TaskGraph graph = reading.Graph!;
            Assert.Equal(row.Number("tasks"), graph.Count);
            Assert.Equal(row.Number("work_s"), graph.WorkSeconds, 1e-6);
            Assert.Equal(row.Number("span_s"), graph.SpanSeconds, 1e-6);
            Assert.Equal(row.Number("recorded_makespan_s"), reading.RecordedMakespanSeconds!.Value, 1e-6);
            Assert.Equal(row.Number("max_level_width"), graph.MaxLevelWidth);
            Assert.NotNull(reading.Name);
        });
    }

    private static double Area(ImmutableArray<WidthStep> steps) =>
        steps.Zip(steps.Skip(1)).Sum(pair => pair.First.Tasks * (pair.Second.Seconds - pair.First.Seconds));

    private static void AssertInOrder(TaskGraph graph, ReadOnlySpan<int> order)
    {
        int[] place = new int[graph.Count];
        for (int i = 0; i < order.Length; i++)
            place[order[i]] = i;
        for (int task = 0; task < graph.Count; task++)
        {
            foreach (int parent in graph.Parents(task))
                Assert.True(place[parent] < place[task]);
        }
    }

    // With an entry, -1, and an exit after all tasks, so that there is one pair of ends.
    private static AdjacencyGraph<int, SEdge<int>> ToQuikGraph(TaskGraph graph)
    {
        var other = new AdjacencyGraph<int, SEdge<int>>();
        other.AddVertexRange(Enumerable.Range(-1, graph.Count + 2));
        for (int task = 0; task < graph.Count; task++)
        {
            other.AddEdge(new SEdge<int>(-1, task));
            other.AddEdge(new SEdge<int>(task, graph.Count));
            foreach (int child in graph.Children(task))
                other.AddEdge(new SEdge<int>(task, child));
        }

        return other;
    }

    private static double LongestPath(AdjacencyGraph<int, SEdge<int>> other, TaskGraph graph)
    {
        double[] seconds = graph.Seconds.ToArray();
        var longest = new DagShortestPathAlgorithm<int, SEdge<int>>(
            other, edge => edge.Source < 0 ? 0 : seconds[edge.Source], DistanceRelaxers.CriticalDistance);
        longest.Compute(-1);
        return longest.TryGetDistance(graph.Count, out double distance) ? distance : double.NaN;
    }
}
