using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core.Graphs;

namespace Capacityplan.Core.Tests.Graphs;

public sealed class ScheduleStretchesTests
{
    private static readonly TaskGraph s_graph = TaskGraph.TryCreate(
        Enumerable.Range(0, 5000).Select(task => string.Create(CultureInfo.InvariantCulture, $"{(task % 3 == 0 ? "wide" : "small")}_{task}")),
        Enumerable.Range(0, 5000).Select(task => task % 3 == 0 ? 5.0 : 0.01 * (1 + task % 7)), [], out _)!;

    private static readonly ScheduleStretches s_stretches = new(GraphScheduling.ArrivalOrder(s_graph, 6), TaskKinds.Of(s_graph));

    [Theory]
    [InlineData(0, 1, 300)]
    [InlineData(0.2, 0.3, 300)]
    [InlineData(0.999, 1, 40)]
    [InlineData(0, 1, 100_000)]
    public void Between_AnyPart_IsTheWholeTimeInFewStretches(double from, double to, int most)
    {
        double makespan = s_stretches.Schedule.MakespanSeconds;

        ImmutableArray<ScheduleStretch> found = s_stretches.Between(from * makespan, to * makespan, most);

        Assert.InRange(found.Length, 1, 2 * most + 2 * s_stretches.Rows.Length);
        foreach (IGrouping<int, ScheduleStretch> row in found.GroupBy(stretch => stretch.Worker))
        {
            double last = double.NegativeInfinity;
            foreach (ScheduleStretch stretch in row)
            {
                Assert.True(stretch.StartSeconds >= last && stretch.EndSeconds >= stretch.StartSeconds);
                last = stretch.EndSeconds;
            }
        }

        int expected = s_stretches.Schedule.Tasks.ToArray().Count(task => task.EndSeconds > from * makespan && task.StartSeconds < to * makespan);
        Assert.Equal(expected, found.Sum(stretch => stretch.Tasks));
    }

    [Fact]
    public void Between_WithRoomEnough_IsTaskByTask()
    {
        ImmutableArray<ScheduleStretch> found = s_stretches.Between(0, 1, 1_000_000);

        Assert.All(found, stretch => Assert.Equal(1, stretch.Tasks));
        ScheduleStretch first = found[0];
        Assert.Equal(s_stretches.Schedule.Tasks[first.Task], new ScheduledTask(first.Task, first.Worker, first.StartSeconds, first.EndSeconds));
    }

    [Fact]
    public void Rows_OfManyWorkers_HaveTheLastOneAmongThem()
    {
        TaskGraph graph = TaskGraph.TryCreate([], Enumerable.Range(1, 200).Select(task => (double)task), [], out _)!;
        GraphSchedule schedule = GraphScheduling.LongestRemainingFirst(graph, 150);

        var stretches = new ScheduleStretches(schedule, TaskKinds.Of(graph), mostRows: 10);

        Assert.Equal(10, stretches.Rows.Distinct().Count());
        Assert.Contains(schedule.Tasks.ToArray().Where(task => task.EndSeconds == schedule.MakespanSeconds), task => stretches.Rows.Contains(task.Worker));
        Assert.Equal(["tasks"], TaskKinds.Of(graph).Names);
    }

    [Theory]
    [InlineData("render_0001", "render")]
    [InlineData("mProject_ID0000001", "mProject")]
    [InlineData("align-3.17", "align-3")]
    [InlineData("merge", "merge")]
    public void Kinds_AreWhatIdsBeginWith(string id, string kind)
    {
        TaskGraph graph = TaskGraph.TryCreate([id], [1.0], [], out _)!;

        Assert.Equal([kind], TaskKinds.Of(graph).Names);
    }

    [Fact]
    public void Kinds_TooManyToTellApart_AreTheirFirstWords()
    {
        TaskGraph graph = TaskGraph.TryCreate(Enumerable.Range(0, 12).Select(tile => $"{(tile % 2 == 0 ? "grid" : "draw")}_tile{(char)('a' + tile)}_1"), Enumerable.Repeat(1.0, 12), [], out _)!;

        Assert.Equal(["grid", "draw"], TaskKinds.Of(graph, most: 4).Names);
    }

    [Fact]
    public void Kinds_TooManyToTellApart_EndInOthers()
    {
        TaskGraph graph = TaskGraph.TryCreate(Enumerable.Range(0, 10).Select(kind => $"{(char)('a' + kind)}_1"), Enumerable.Range(1, 10).Select(one => (double)one), [], out _)!;

        var kinds = TaskKinds.Of(graph, most: 4);

        Assert.Equal(["j", "i", "h", "others"], kinds.Names);
        Assert.Equal(3, kinds.Of(0));
        Assert.Equal(0, kinds.Of(9));
    }
}
