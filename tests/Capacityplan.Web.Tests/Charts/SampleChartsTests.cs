using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Tests.Charts;

/// <summary>How the tasks of a sample are spread, and what fits them.</summary>
public sealed class SampleChartsTests
{
    private static readonly SampleSizes s_exponential = Quantiles(new ExponentialSizes(0.3), 400);

    public static TheoryData<double[], string> Titles() => new()
    {
        { [0.29, 0.29], "Every task takes 290\u00A0ms" },
        { [1, 2, 3], "Tasks take 2.0\u00A0s on average; the longest 33\u00A0% are 50\u00A0% of the work" },
        { [.. Enumerable.Range(0, 300).Select(index => 1 + index / 299.0)], "Tasks take 1.5\u00A0s on average; the longest takes 2.0\u00A0s" },
    };

    /// <summary>The charts of a sample.</summary>
    public static IEnumerable<ChartModel> Charts(SampleSizes sizes)
    {
        var summary = TaskSizeSummary.Of(sizes);
        var fit = TaskSizeFit.Of(sizes, 1);
        yield return TaskSizesChart.Build("0", summary, null);
        foreach (FittedTaskSizes candidate in fit.Candidates)
            yield return TaskSizesChart.Build("0", summary, candidate);
        if (!fit.Candidates.IsEmpty)
            yield return QuantilesChart.Build("0", fit);
    }

    [Theory]
    [MemberData(nameof(Titles))]
    public void TaskSizes_Title_SaysHowLongAndHowUneven(double[] sample, string title) =>
        Assert.Equal(title, TaskSizesChart.Build("0", TaskSizeSummary.Of(new SampleSizes(sample)), null).Title);

    [Fact]
    public void TaskSizes_Columns_AreTheHistogramInPerCent()
    {
        var summary = TaskSizeSummary.Of(s_exponential);
        ChartModel chart = TaskSizesChart.Build("3", summary, null);

        Assert.Equal("task-sizes-3", chart.Name);
        Assert.Equal(summary.Histogram.Bins.Select(bin => new ChartColumn(bin.From, bin.To, 100 * bin.Share)), chart.Columns);
        Assert.Equal(100, chart.Columns.Sum(column => column.Height), 1e-9);
        Assert.Empty(chart.Lines);
        Assert.Equal(summary.Mean, Assert.Single(chart.Uprights).X);
        Assert.Equal(
            [Figures.Time(summary.Min), Figures.Time(summary.P05), Figures.Time(summary.P25), Figures.Time(summary.Median), Figures.Time(summary.P75),
                Figures.Time(summary.P95), Figures.Time(summary.P99), Figures.Time(summary.P999), Figures.Time(summary.Max)],
            chart.Table.Rows.Select(row => row.Cells[1]));
    }

    [Fact]
    public void TaskSizes_Line_IsWhatTheDistributionPutsInEachColumn()
    {
        var summary = TaskSizeSummary.Of(s_exponential);
        FittedTaskSizes fitted = TaskSizeFit.Of(s_exponential, 1).Candidates.Single(candidate => candidate.Family == TaskSizeFamily.Exponential);

        ChartLine line = Assert.Single(TaskSizesChart.Build("0", summary, fitted).Lines);

        Assert.Equal(summary.Histogram.Bins.Length, line.Points.Count);
        Assert.All(line.Points.Zip(summary.Histogram.Bins), pair =>
        {
            (ChartPoint point, TaskSizeBin bin) = pair;
            Assert.InRange(point.X, bin.From, bin.To);
            Assert.Equal(100 * (Math.Exp(-bin.From / fitted.Sizes.Mean) - Math.Exp(-bin.To / fitted.Sizes.Mean)), point.Y, 1e-6);
        });
    }

    [Fact]
    public void TaskSizes_Ticks_SayWhereTheyStand()
    {
        // Even columns of two per cent and less, which quarters of a per cent would be needed for.
        ChartModel chart = TaskSizesChart.Build("0", TaskSizeSummary.Of(new SampleSizes([.. Enumerable.Range(1, 60).Select(index => (double)index)])), null);

        Assert.InRange(chart.Y.Ticks.Count, 3, 9);
        Assert.All(chart.Y.Ticks, tick => Assert.Equal(tick.Value, double.Parse(tick.Label, System.Globalization.CultureInfo.InvariantCulture), 1e-9));
    }

    [Fact]
    public void Quantiles_OfAGoodFit_LieOnTheLine()
    {
        var fit = TaskSizeFit.Of(s_exponential, 1);
        ChartModel chart = QuantilesChart.Build("0", fit);

        Assert.Equal("Exponential fits well", chart.Title);
        Assert.Equal(fit.Sentence, chart.TextAlternative);
        Assert.Equal(fit.QuantilePoints(fit.Candidates[0]).Select(point => new ChartPoint(point.Fitted, point.Sample)), chart.Quantiles);
        Assert.All(Assert.Single(chart.Lines).Points, point => Assert.Equal(point.X, point.Y));
        Assert.Equal(fit.Candidates.Select(candidate => TaskSizeFitWords.Name(candidate.Family)), chart.Table.Rows.Select(row => row.Cells[0]));
        Assert.Equal("0.0", chart.Table.Rows[0].Cells[1]);
        Assert.Equal([true], chart.Table.Rows.Select(row => row.IsChosen).Where(chosen => chosen));
    }

    [Fact]
    public void Quantiles_OfNoGoodFit_SayWhichIsNearest()
    {
        SampleSizes twoLumps = new([.. Enumerable.Range(0, 200).Select(index => 1 + index * 1e-4), .. Enumerable.Range(0, 200).Select(index => 50 + index * 1e-3)]);
        var fit = TaskSizeFit.Of(twoLumps, 1);
        ChartModel chart = QuantilesChart.Build("0", fit);

        Assert.EndsWith(" is nearest, and not near enough", chart.Title, StringComparison.Ordinal);
        Assert.DoesNotContain(chart.Table.Rows, row => row.IsChosen);
    }

    [Fact]
    public void Quantiles_OfTasksAllAlike_HaveNoFigureThatIsNone()
    {
        ChartModel chart = QuantilesChart.Build("0", TaskSizeFit.Of(new SampleSizes([.. Enumerable.Repeat(0.29, 50)]), 1));

        ChartSoundness.AssertSound(chart);
        Assert.Equal("0.0", Assert.Single(chart.Table.Rows).Cells[1]);
    }

    [Fact]
    public void Families_EachHaveAName() =>
        Assert.Equal(Enum.GetValues<TaskSizeFamily>().Length, Enum.GetValues<TaskSizeFamily>().Select(TaskSizeFitWords.Name).Distinct().Count());

    private static SampleSizes Quantiles(TaskSizes sizes, int count) => new([.. Enumerable.Range(0, count).Select(index => sizes.Quantile((index + 0.5) / count))]);
}
