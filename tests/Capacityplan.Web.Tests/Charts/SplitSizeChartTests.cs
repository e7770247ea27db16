using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;
using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Tests.Charts;

public sealed class SplitSizeChartTests
{
    private static readonly SimulatedPlace s_place = SimulatedRuns.Place(8);

    [Theory]
    [InlineData(1, 1e-3, "The split size of grid is fine: anything up to ")]
    [InlineData(800, 1e-3, "Split grid finer: ")]
    [InlineData(1, 1e-8, "Split grid coarser: ")]
    public void Title_StatesWhatToDo(long grain, double unitSeconds, string title)
    {
        (ChartModel chart, GrainCurve curve) = Build(grain, unitSeconds);

        Assert.StartsWith(title, chart.Title, StringComparison.Ordinal);
        Assert.Equal(chart.Title.Contains("fine:", StringComparison.Ordinal), grain >= curve.FlatFrom && grain <= curve.FlatTo);
    }

    [Fact]
    public void Title_OfAFlatPartThatDoesNotReachTheFinest_NamesBothEnds()
    {
        // Forks cost about as much as eight units: the finest splits are slower, those in the middle alike.
        (ChartModel chart, GrainCurve curve) = Build(32, 1e-6, new SchedulingCosts { ForkSeconds = 8e-6, StealSeconds = 0, StealAttemptSeconds = 1e-8 }, workers: 2, units: 200_000);

        Assert.True(curve.FlatFrom > 1 && curve.FlatTo > curve.FlatFrom, $"{curve.FlatFrom} to {curve.FlatTo}");
        string title = Chart(curve, 200_000, curve.FlatTo, 1e-6).Title;
        Assert.Equal($"The split size of grid is fine: anything from {Figures.Count(curve.FlatFrom)} to {Figures.Count(curve.FlatTo)} is as good", title);
        Assert.Equal((curve.FlatFrom, (double)curve.FlatTo), ((long)chart.Zone!.From, chart.Zone.To));
    }

    [Fact]
    public void Title_OfASingleBest_SaysSo()
    {
        GrainCurve curve = SimulatedRuns.Split(Job(1, 1e-3, 800), 0, s_place.Pool, [1]);
        ChartModel chart = Chart(curve, 800, 1, 1e-3);

        Assert.Equal("The split size of grid is the best there is", chart.Title);
        Assert.Null(chart.Zone);
        Assert.Null(chart.Chosen);
        Assert.Equal("now, and best: 1", Assert.Single(chart.Notes).Text);
        ChartSoundness.AssertSound(chart);
    }

    [Theory]
    [InlineData(1, 1)]
    [InlineData(8, 8)]
    // 800 units halved in turn leave pieces of 13 at the sixth level and of 7 at the seventh: 14 splits like 16, not like 8.
    [InlineData(14, 16)]
    [InlineData(100, 100)]
    // Coarser than a worker's even share of 100 units, where the usual splits end.
    [InlineData(400, 100)]
    public void Now_IsTheSplitThatGivesTheSamePieces(long grain, long shownAt)
    {
        JobStructure job = Job(grain, 1e-3, 800);
        var phase = (ParallelPhase)job.Phases[0];
        GrainCurve curve = SimulatedRuns.Split(job, 0, s_place.Pool);

        ChartModel chart = SplitSizeChart.Build(curve, phase, s_place);

        Assert.Equal(shownAt, Assert.Single(chart.Measured).X);
        Assert.Contains(Figures.Count(grain), Assert.Single(chart.Notes).Text, StringComparison.Ordinal);
        Assert.Equal(Figures.Count(shownAt), Assert.Single(chart.Table.Rows, row => row.IsChosen).Cells[0]);
    }

    [Fact]
    public void Now_WhereTheCurveHasItsOwnSplit_StandsThere()
    {
        JobStructure job = Job(400, 1e-3, 800);
        GrainCurve curve = SimulatedRuns.Split(job, 0, s_place.Pool, [.. GrainCurve.UsualGrains(800, 8), 400]);

        ChartModel chart = SplitSizeChart.Build(curve, (ParallelPhase)job.Phases[0], s_place);

        GrainPoint own = curve.Points[^1];
        Assert.Equal(new ChartPoint(400, own.MakespanSeconds.Mean), Assert.Single(chart.Measured));
        Assert.StartsWith("Split grid finer: ", chart.Title, StringComparison.Ordinal);
    }

    [Fact]
    public void Figures_AreTheCurves_AtTheMachinesSpeed()
    {
        JobStructure job = Job(2, 1e-3, 800);
        GrainCurve curve = SimulatedRuns.Split(job, 0, s_place.Pool);

        ChartModel chart = SplitSizeChart.Build(curve, (ParallelPhase)job.Phases[0], s_place with { Speed = 2 });

        Assert.Equal(curve.Points.Select(point => new ChartPoint(point.Grain, point.MakespanSeconds.Mean / 2)), chart.Lines.Single(line => line.Role == LineRole.Median).Points);
        Assert.Equal(curve.Points.Select(point => new BandPoint(point.Grain, point.MakespanSeconds.P05 / 2, point.MakespanSeconds.P95 / 2)), chart.Band);
        Assert.Equal(
            curve.Points.Select(point => (Figures.Count(point.Grain), Figures.Count(point.Leaves), Figures.Time(point.MakespanSeconds.Mean / 2), Figures.Time(point.ExpectedSeconds / 2))),
            chart.Table.Rows.Select(row => (row.Cells[0], row.Cells[1], row.Cells[2], row.Cells[5])));
        Assert.Equal("best", chart.Table.Rows[curve.Points.ToList().IndexOf(curve.Best)].Cells[4]);
    }

    private static JobStructure Job(long grain, double unitSeconds, long units, SchedulingCosts? costs = null) =>
        new([new ParallelPhase("grid", units, new ConstantSizes(unitSeconds), grain, costs)]);

    private static ChartModel Chart(GrainCurve curve, long units, long grain, double unitSeconds) =>
        SplitSizeChart.Build(curve, (ParallelPhase)Job(grain, unitSeconds, units).Phases[0], s_place);

    private static (ChartModel Chart, GrainCurve Curve) Build(long grain, double unitSeconds, SchedulingCosts? costs = null, int workers = 8, long units = 800)
    {
        JobStructure job = Job(grain, unitSeconds, units, costs);
        SimulatedPlace place = SimulatedRuns.Place(workers);
        GrainCurve curve = SimulatedRuns.Split(job, 0, place.Pool, [.. GrainCurve.UsualGrains(units, workers), grain]);
        return (SplitSizeChart.Build(curve, (ParallelPhase)job.Phases[0], place), curve);
    }
}
