using System.Collections.Immutable;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.Charts;
using Capacityplan.Web.Plans;

namespace Capacityplan.Web.Tests.Charts;

public sealed class GraphChartsTests
{
    private static readonly TaskGraph s_graph = TaskGraph.TryCreate(
        Enumerable.Range(0, 20_000).Select(task => $"{"abc"[task % 3]}_{task}"), Enumerable.Range(0, 20_000).Select(task => 1.0 + task % 5), [], out _)!;

    private static readonly GraphStudy s_study = GraphStudy.Of(new GraphJob(s_graph, new SchedulingCosts()));

    private static readonly GraphLook s_look = new(
        8, new ScheduleStretches(GraphScheduling.LongestRemainingFirst(s_graph, 8), s_study.Kinds), ImmutableSortedDictionary<int, double>.Empty);

    [Fact]
    public void Schedule_OfManyTasks_IsDrawnInFewStretchesAndCloserTaskByTask()
    {
        ChartModel whole = ScheduleChart.Build(s_study, s_look);
        ChartModel close = ScheduleChart.Build(s_study, s_look, 0.5, 0.501);

        Assert.InRange(whole.Stretches.Count, 8, 3_100);
        Assert.Contains(whole.Stretches, stretch => stretch.Text.Contains(" tasks, ", StringComparison.Ordinal));
        Assert.Contains("short tasks are put together", whole.Subtitle, StringComparison.Ordinal);
        Assert.All(close.Stretches, stretch => Assert.DoesNotContain(" tasks", stretch.Text, StringComparison.Ordinal));
        Assert.Equal(0.5 * whole.X.High, close.X.Low, 1e-9);
        Assert.Equal(["a", "b", "c"], whole.Kinds.Select(kind => kind.Name).Order());
        Assert.Equal(3, whole.Kinds.Select(kind => kind.Use).Distinct().Count());
        // Names of kinds drawn apart, and no picture of one that is not.
        Assert.Subset(whole.Kinds.Select(kind => kind.Use).ToHashSet(), close.Stretches.Select(stretch => stretch.Use).ToHashSet());
    }

    [Fact]
    public void Profile_OfIndependentTasks_FallsAsTheyEnd()
    {
        ChartModel chart = WidthProfileChart.Build(s_study);

        Assert.Equal([20_000.0, 16_000.0, 12_000.0, 8_000.0, 4_000.0], chart.Columns.Select(column => column.Height));
        Assert.Equal(5, chart.X.High);
        Assert.NotEmpty(chart.X.Ticks);
        Assert.StartsWith("Up to 20,000 tasks run at once", chart.Title, StringComparison.Ordinal);
    }
}
