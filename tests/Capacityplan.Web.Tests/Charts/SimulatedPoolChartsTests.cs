using Capacityplan.Core.Jobs;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;
using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Tests.Charts;

/// <summary>Where time goes, how runs are spread, and where they are looked at.</summary>
public sealed class SimulatedPoolChartsTests
{
    private static readonly IReadOnlyList<SimulatedPool> s_curve = SimulatedRuns.Curve(SimulatedRuns.Usual);
    private static readonly SimulatedPlace s_place = SimulatedRuns.Place(16);

    public static TheoryData<string, string> Titles() => new()
    {
        { "serial", "On 16 workers 0\u00A0% of the time paid for is work; serial phases take most of the rest, 100\u00A0%" },
        { "one unit", "idle workers take most of the rest, 94\u00A0%" },
        { "tiny", "stealing takes most of the rest" },
        { "overhead", "forks and joins take most of the rest" },
        { "all work", "On 1 worker 100\u00A0% of the time paid for is work" },
    };

    [Theory]
    [MemberData(nameof(Titles))]
    public void TimeShares_Title_NamesTheLargestLoss(string job, string title)
    {
        (JobStructure structure, SimulatedPlace place) = job switch
        {
            "overhead" => (new JobStructure([new ParallelPhase("grid", 4_096, new ConstantSizes(1e-7), 1, new SchedulingCosts { ForkSeconds = 1e-5 })]), s_place),
            "tiny" => (new JobStructure([new ParallelPhase("grid", 4_096, new ConstantSizes(1e-4), 1, new SchedulingCosts { StealSeconds = 0.1, StealAttemptSeconds = 1e-9 })]), s_place),
            "all work" => (SimulatedRuns.Job("constant"), SimulatedRuns.Place(1)),
            _ => (SimulatedRuns.Job(job), s_place),
        };

        ChartModel chart = TimeSharesChart.Build(SimulatedRuns.Curve(structure), SimulatedRuns.Pool(structure, place.Pool), place);

        Assert.Contains(title, chart.Title, StringComparison.Ordinal);
    }

    [Fact]
    public void TimeShares_Areas_AddUpToAllOfTheTime()
    {
        ChartModel chart = TimeSharesChart.Build(s_curve, s_curve[4], s_place);

        Assert.Equal([TimeUse.Work, TimeUse.Serial, TimeUse.Overhead, TimeUse.Stealing, TimeUse.Idle], chart.Areas.Select(area => area.Use));
        for (int place = 0; place < s_curve.Count; place++)
        {
            double top = 0;
            foreach (TimeArea area in chart.Areas)
            {
                BandPoint point = area.Points[place];
                Assert.Equal(s_curve[place].Pool.Workers, point.X);
                Assert.Equal(top, point.Low, 1e-9);
                Assert.True(point.High >= point.Low);
                top = point.High;
            }

            Assert.Equal(100, top, 1e-9);
            Assert.Equal(100 * s_curve[place].Shares.Work, chart.Areas[0].Points[place].High, 1e-9);
            Assert.Equal(100 * s_curve[place].Shares.Idle, chart.Areas[4].Points[place].High - chart.Areas[4].Points[place].Low, 1e-9);
        }
    }

    [Fact]
    public void TimeShares_Table_HasTheSimulatedFigures()
    {
        ChartModel chart = TimeSharesChart.Build(s_curve, s_curve[4], s_place);

        Assert.Equal(
            s_curve.Select(pool => (
                Figures.Count(pool.Pool.Workers), Figures.Time(pool.MakespanSeconds.Mean), Figures.TimeRange(pool.MakespanSeconds.P05, pool.MakespanSeconds.P95),
                Figures.Percent(pool.Shares.Idle), Figures.Count(Math.Round(pool.Steals.Mean)))),
            chart.Table.Rows.Select(row => (row.Cells[0], row.Cells[1], row.Cells[2], row.Cells[7], row.Cells[8])));
    }

    [Theory]
    [InlineData(1, false)]
    [InlineData(12, true)]
    [InlineData(64, false)]
    [InlineData(2048, false)]
    public void TimeShares_Upright_StandsWhereTheCurveReaches(int workers, bool stands)
    {
        SimulatedPlace place = SimulatedRuns.Place(workers, name: "Heron-16");
        Assert.Equal(stands, TimeSharesChart.Build(s_curve, s_curve[4], place).Uprights.Any(upright => upright is { Label: "Heron-16", IsKey: true } && upright.X == workers));
    }

    [Fact]
    public void RunSpread_Columns_HoldEveryRunOnce()
    {
        foreach (int runs in (int[])[2, 30, 400])
        {
            SimulatedPool pool = SimulatedRuns.Pool(SimulatedRuns.Usual, s_place.Pool, runs);
            ChartModel chart = RunSpreadChart.Build(pool, s_place);

            Assert.Equal(runs, chart.Columns.Sum(column => column.Height));
            Assert.InRange(chart.Columns.Count, 4, 30);
            for (int column = 1; column < chart.Columns.Count; column++)
                Assert.Equal(chart.Columns[column - 1].To, chart.Columns[column].From, 1e-12);
            Assert.Equal(pool.Runs.Min(run => run.MakespanSeconds), chart.Columns[0].From);
            Assert.Equal(pool.Runs.Max(run => run.MakespanSeconds), chart.Columns[^1].To, 1e-12);
        }
    }

    [Fact]
    public void RunSpread_OnAMachineOfAnotherSpeed_ShowsItsTimes()
    {
        SimulatedPool pool = SimulatedRuns.Pool(SimulatedRuns.Usual, s_place.Pool, 41);
        ChartModel chart = RunSpreadChart.Build(pool, s_place with { Name = "Crane-48", Speed = 0.5 });

        SampleSummary times = pool.MakespanSeconds;
        Assert.Equal([2 * times.P05, 2 * times.Median, 2 * times.P95], chart.Uprights.Select(upright => upright.X), new Within(1e-12));
        Assert.Equal(
            [2 * times.P05, 2 * times.Median, 2 * times.P95, 2 * pool.Runs.Max(run => run.MakespanSeconds)],
            new[] { 0, 2, 4, 5 }.Select(row => chart.Table.Rows[row].Cells[1]).Select(cell => FiguresRead.Seconds(cell)), new Within(0.06));
        Assert.StartsWith("On Crane-48 stealing and uneven units spread a run by ", chart.Title, StringComparison.Ordinal);
        Assert.True(chart.Table.Rows[2].IsChosen);
    }

    [Theory]
    [InlineData("constant", 1, "Every run on 1 worker takes 16\u00A0s")]
    [InlineData("serial", 16, "Every run on 16 workers takes 7.0\u00A0s")]
    [InlineData("mostly no time", 2, "On 2 workers most runs take no time, the longest ")]
    [InlineData("usual", 16, "On 16 workers stealing and uneven units spread a run by ")]
    public void RunSpread_Title_StatesTheFinding(string job, int workers, string title)
    {
        SimulatedPlace place = SimulatedRuns.Place(workers);
        Assert.StartsWith(title, RunSpreadChart.Build(SimulatedRuns.Pool(SimulatedRuns.Job(job), place.Pool), place).Title, StringComparison.Ordinal);
    }

    [Fact]
    public void RunSpread_OfRunsAlike_IsOneColumnWithoutStrokes()
    {
        ChartModel chart = RunSpreadChart.Build(SimulatedRuns.Pool(SimulatedRuns.Job("serial"), s_place.Pool), s_place);

        Assert.Equal(30, Assert.Single(chart.Columns).Height);
        Assert.Empty(chart.Uprights);
    }

    [Fact]
    public void Place_FollowsTheChoiceOrTheBlank()
    {
        PlanResult result = SampleResult.Whole();

        // Heron-16: 8 cores with two threads each, a second thread adding a quarter: 10 cores' worth, each core 1.22 times as fast.
        var chosen = SimulatedPlace.Of(null, result);
        Assert.Equal(("Heron-16", new WorkerPool(16, 10 / 16.0), 1.22), (chosen.Name, chosen.Pool, chosen.Speed));
        Assert.Equal("Heron-16, 16 workers at 63\u00A0% of a core each", chosen.Full);
        Assert.Equal(new SimulatedPlace(new WorkerPool(3), "3 workers", 1), SimulatedPlace.Of(3, result));
        Assert.Equal("1 worker", SimulatedPlace.Of(1, result).Full);
        Assert.Equal(new SimulatedPlace(new WorkerPool(16), "16 workers", 1), SimulatedPlace.Of(null, null));
        Assert.Equal("16 workers", SimulatedPlace.Of(null, SampleResult.Whole(windowSeconds: null)).Full);
    }

    [Fact]
    public void Place_OnAMachineLargerThanAPicture_IsTheLargestPool()
    {
        MachineType machine = SampleResult.Machine("Crane-9000", 9_000, 9_000, 1, 64, 45, 1.50m);
        Assert.Equal(new WorkerPool(RunPicture.MostWorkers), SimulatedPlace.Of(null, SampleResult.Whole(machines: [machine])).Pool);
    }

    private sealed class Within(double share) : IEqualityComparer<double>
    {
        public bool Equals(double x, double y) => Math.Abs(x - y) <= share * Math.Abs(x);

        public int GetHashCode(double obj) => 0;
    }

    private static class FiguresRead
    {
        public static double Seconds(string written) => Capacityplan.Core.Reading.DurationText.TryRead(written, out double seconds) ? seconds : double.NaN;
    }
}
