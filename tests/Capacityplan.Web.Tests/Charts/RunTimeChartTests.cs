using Capacityplan.Core.Fitting;
using Capacityplan.Core.Laws;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Tests.Charts;

public sealed class RunTimeChartTests
{
    private static readonly PlanResult s_result = SampleResult.Whole();
    private static readonly ScalingChartView s_heron = ScalingChartView.For(s_result);

    [Fact]
    public void ViewOfAPlan_DrawsTheChosenMachinesCoreSpeed()
    {
        Assert.Equal("Heron-16", s_result.Verdict.Choice!.Machine.Name);
        Assert.Equal(1.22, s_heron.CoreSpeed);
        Assert.Equal(1, ScalingChartView.For(SampleResult.Whole(windowSeconds: null)).CoreSpeed);
    }

    [Fact]
    public void Lines_AtTheSpeedMeasuredOn_AreTheForecastItself()
    {
        ChartModel chart = RunTimeChart.Build(s_result, new ScalingChartView());

        ChartPoint[] medians = [.. Points(chart, LineRole.Median), .. Points(chart, LineRole.MedianBeyond)];
        Assert.True(medians.Length > 28);
        Assert.All(medians, point => Same(SampleResult.Point(point.X).Seconds.Median, point.Y));
        Assert.All(Points(chart, LineRole.Floor), point => Same(SampleResult.Point(point.X).FloorSeconds, point.Y));
        Assert.All(Points(chart, LineRole.Ceiling), point => Same(SampleResult.Point(point.X).GreedyCeilingSeconds, point.Y));
        Assert.All(chart.Band, point =>
        {
            Same(SampleResult.Point(point.X).Seconds.Low, point.Low);
            Same(SampleResult.Point(point.X).Seconds.High, point.High);
        });
        Assert.Equal(SampleResult.Timings.Select(timing => new ChartPoint(timing.Cores, timing.Seconds)), chart.Measured);
        Assert.Equal("Run time against cores, at the core speed measured on. Both axes logarithmic.", chart.Subtitle);
    }

    [Fact]
    public void Lines_AtAnotherCoreSpeed_AreDividedByIt()
    {
        ChartModel plain = RunTimeChart.Build(s_result, new ScalingChartView()), chart = RunTimeChart.Build(s_result, s_heron);

        foreach (LineRole role in (LineRole[])[LineRole.Median, LineRole.MedianBeyond, LineRole.Floor, LineRole.Ceiling])
            Assert.All(Points(plain, role).Zip(Points(chart, role)), pair => Same(pair.First.Y / 1.22, pair.Second.Y));
        Assert.All(plain.Measured.Zip(chart.Measured), pair => Same(pair.First.Y / 1.22, pair.Second.Y));
        Assert.Equal(
            "Run time against cores, at Heron's core speed; measured points divided by 1.22. Both axes logarithmic.", chart.Subtitle);
    }

    [Fact]
    public void Median_WhereTheMeasurementsEnd_ChangesFromSolidToBroken()
    {
        ChartModel chart = RunTimeChart.Build(s_result, s_heron);

        Assert.Equal(8, Points(chart, LineRole.Median)[^1].X);
        Assert.Equal(Points(chart, LineRole.Median)[^1], Points(chart, LineRole.MedianBeyond)[0]);
        Assert.Equal(128, Points(chart, LineRole.MedianBeyond)[^1].X);
        Assert.Equal(new MeasuredEnd(8, SampleResult.Seconds(8) / 1.22, "measured to 8\u00A0cores", "forecast, to 16 times past"), chart.MeasuredEnd);
    }

    [Fact]
    public void Median_OfAStatedJob_IsBrokenAllTheWay()
    {
        Forecast stated = SampleResult.Forecast() with { Basis = ForecastBasis.WorkAndSpan, MeasuredUpToCores = null, Measured = [] };

        ChartModel chart = RunTimeChart.Build(SampleResult.Whole(forecast: stated), s_heron);

        Assert.Empty(Points(chart, LineRole.Median));
        Assert.Equal(1, Points(chart, LineRole.MedianBeyond)[0].X);
        Assert.Null(chart.MeasuredEnd);
    }

    [Fact]
    public void Line_OfADenseCurve_KeepsFewPointsAndItsEnds()
    {
        ChartModel chart = RunTimeChart.Build(SampleResult.Whole(forecast: SampleResult.Forecast(pointsPerDoubling: 40)), s_heron);

        Assert.InRange(chart.Band.Count, 30, 60);
        Assert.Equal(1, chart.Band[0].X);
        Assert.Equal(128, chart.Band[^1].X);
        Assert.All([1, 2, 4, 8, 16, 32, 64, 128], cores => Assert.Contains(chart.Band, point => point.X == cores));
    }

    [Fact]
    public void Axis_OfACurveLongerThanAnyMachine_EndsAtThePowerOfTwoThatHoldsThemAll()
    {
        ChartModel chart = RunTimeChart.Build(SampleResult.Whole(forecast: SampleResult.Forecast(to: 1024)), s_heron);

        // Crane-192 is worth 96 + 0.25 x 96 = 120 cores.
        Assert.Equal(128, chart.X.High);
        Assert.Equal(128, chart.Band[^1].X);
        Assert.Equal(["1", "2", "4", "8", "16", "32", "64", "128"], chart.X.Ticks.Select(tick => tick.Label));
    }

    [Theory]
    [InlineData(3600.0, "Ten cores' worth brings it to 40\u00A0min; no number of cores brings it under 10")]
    [InlineData(null, "From 6\u00A0h\u00A028 on 1\u00A0core to 14\u00A0min on 128; no number of cores brings it under 12")]
    public void Title_WithAndWithoutAWindow_StatesWhatIsReached(double? windowSeconds, string title)
    {
        PlanResult result = SampleResult.Whole(windowSeconds);

        Assert.Equal(title, RunTimeChart.Build(result, ScalingChartView.For(result)).Title);
    }

    [Fact]
    public void Title_OfAMachineWithoutSecondThreads_CountsItsCores()
    {
        PlanResult result = SampleResult.Whole(machines: [SampleResult.Machine("Wren-16", 16, 16, 0.85, 64, 45, 1.57m)]);

        Assert.StartsWith("Sixteen cores bring it to 40\u00A0min; ", RunTimeChart.Build(result, ScalingChartView.For(result)).Title, StringComparison.Ordinal);
    }

    [Fact]
    public void Title_WithoutASpan_MakesNoClaimAboutALimit()
    {
        PlanResult result = SampleResult.Whole(forecast: SampleResult.Forecast() with { SpanSeconds = 0, SerialFraction = 0, SpanBindsFromCores = null });

        Assert.Equal("Ten cores' worth brings it to 40\u00A0min", RunTimeChart.Build(result, s_heron).Title);
    }

    [Fact]
    public void Posts_AreTheMachinesOfTheSpeedDrawn_HollowWhereTheyFail()
    {
        ChartModel chart = RunTimeChart.Build(s_result, s_heron);

        Assert.Equal(
            [("Heron-8", 5, MachineState.Out), ("Heron-16", 10, MachineState.Chosen), ("Heron-32", 20, MachineState.Good), ("Heron-64", 40, MachineState.Good)],
            chart.Posts.Select(post => (post.Label.Name, post.Cores, post.State)));
        Assert.Equal("Heron", chart.Posts[0].Label.Family);
        Assert.Equal("8", chart.Posts[0].Label.Size);
        Assert.Equal(new(new(10, s_result.Verdict.Choice!.RunSeconds.Median), "Heron-16, 40\u00A0min", "", HasPost: true), chart.Chosen);
    }

    [Fact]
    public void Posts_ThatLackMemory_AreHollow()
    {
        ChartModel chart = RunTimeChart.Build(SampleResult.Whole(needsGiB: 200), new ScalingChartView { CoreSpeed = 1.22 });

        Assert.Equal(
            [MachineState.Out, MachineState.Out, MachineState.Out, MachineState.Good], chart.Posts.Select(post => post.State));
    }

    [Fact]
    public void Chosen_AtAnotherSpeedThanItsOwn_IsNotOnTheCurve() =>
        Assert.Null(RunTimeChart.Build(s_result, new ScalingChartView { CoreSpeed = 0.85 }).Chosen);

    [Theory]
    [InlineData(16, "16\u00A0cores: 28\u00A0min (27 to 30), 11 times faster; 71\u00A0% of it work.")]
    [InlineData(10, "Heron-16, 10\u00A0cores' worth: 40\u00A0min (38 to 42), 8.0 times faster; 80\u00A0% of it work.")]
    [InlineData(2, "2\u00A0cores: 2\u00A0h\u00A043 (2\u00A0h\u00A035 to 2\u00A0h\u00A051), 1.9 times faster; 97\u00A0% of it work. Measured: 2\u00A0h\u00A043, median of 2.")]
    [InlineData(1, "1\u00A0core: 5\u00A0h\u00A018 (5\u00A0h\u00A002 to 5\u00A0h\u00A034). Measured: 5\u00A0h\u00A018.")]
    public void Readout_AtACoreCount_SaysTimeBandSpeedupAndShare(double cores, string text)
    {
        Readout readout = Assert.Single(RunTimeChart.Build(s_result, s_heron).Readouts, readout => readout.X == cores);

        Assert.Equal(text, readout.Text);
        Same(SampleResult.Seconds(cores) / 1.22, readout.Y, 1e-3);
    }

    [Fact]
    public void Window_WithinReach_IsALineWithItsOwnTick()
    {
        ChartModel chart = RunTimeChart.Build(s_result, s_heron);

        Assert.Equal(new(3600, false, "window: done by 05:00, 60\u00A0min", "window, 60\u00A0min"), chart.Window);
        Assert.Equal([3600], chart.Y.Ticks.Where(tick => tick.IsWindow).Select(tick => tick.Value));
        Assert.DoesNotContain(chart.Y.Ticks, tick => tick.Label == "1\u00A0h");
    }

    [Fact]
    public void Window_FarAboveTheCurve_IsLeftOut()
    {
        ChartModel chart = RunTimeChart.Build(SampleResult.Whole(windowSeconds: 400 * 3600), s_heron);

        Assert.Null(chart.Window);
        Assert.DoesNotContain(chart.Y.Ticks, tick => tick.IsWindow);
        Assert.True(chart.Y.High < 24 * 3600);
    }

    [Fact]
    public void Laws_WhenAsked_AddAmdahlAloneSinceScaledWorkHasNoRunTime()
    {
        ChartModel chart = RunTimeChart.Build(s_result, s_heron with { ShowAmdahl = true, ShowGustafson = true });

        double serial = SampleResult.SpanSeconds / SampleResult.WorkSeconds;
        Assert.All(Points(chart, LineRole.Amdahl), point => Same(SampleResult.WorkSeconds / 1.22 / Amdahl.Speedup(serial, point.X), point.Y));
        Assert.NotEmpty(Points(chart, LineRole.Amdahl));
        Assert.DoesNotContain(chart.Lines, line => line.Role == LineRole.Gustafson);
        Assert.DoesNotContain(RunTimeChart.Build(s_result, s_heron).Lines, line => line.Role == LineRole.Amdahl);
    }

    [Fact]
    public void Table_HasTheForecastsOwnFigures()
    {
        ChartTable table = RunTimeChart.Build(s_result, s_heron).Table;

        Assert.Equal("8 nights in 10", table.Columns[2]);
        Assert.Equal(["1", "2", "4", "8", "16", "32", "64", "128"], table.Rows.Select(row => row.Cells[0]));
        foreach (TableRow row in table.Rows)
        {
            ForecastPoint point = SampleResult.Point(double.Parse(row.Cells[0], System.Globalization.CultureInfo.InvariantCulture));
            Assert.Equal(Figures.Time(point.Seconds.Median / 1.22), row.Cells[1]);
            Assert.Equal(Figures.TimeRange(point.Seconds.Low / 1.22, point.Seconds.High / 1.22), row.Cells[2]);
            Assert.Equal(Figures.Time(point.FloorSeconds / 1.22), row.Cells[6]);
            Assert.Equal(point.LimitedBy == Limit.Work ? "work" : "span", row.Cells[8]);
        }

        Assert.Equal(Figures.Time(11_915 / 1.22), table.Rows[1].Cells[3]);
        Assert.Equal(Figures.Unknown, table.Rows[4].Cells[3]);
    }

    [Fact]
    public void TextAlternative_TellsTheCurveTheFloorAndTheWindow() =>
        Assert.Equal(
            "Run time against cores, both axes logarithmic. The median falls from 5\u00A0h\u00A018 on 1\u00A0core to 40\u00A0min on Heron-16 and "
            + "12\u00A0min on 128\u00A0cores; the floor is 10\u00A0min; the window is 60\u00A0min.",
            RunTimeChart.Build(s_result, s_heron).TextAlternative);

    [Fact]
    public void Shares_AreTheEfficiency_AndBreakWhereTheSpanBinds()
    {
        ShareStrip shares = RunTimeChart.Build(s_result, s_heron).Shares!;

        Assert.All(shares.Work, point => Same(Math.Min(1, SampleResult.Point(point.X).Efficiency), point.Y));
        Same(SampleResult.WorkSeconds / SampleResult.SpanSeconds - 1, shares.BindsFrom!.Value);
        Assert.Equal("work binds up to 30 cores", shares.UpTo);
        Assert.Equal("then span binds", shares.Then);
    }

    [Fact]
    public void Measured_OnSecondThreads_StandsAtWhatTheyAreWorth()
    {
        PlanResult whole = SampleResult.Whole();
        PlanResult result = whole with
        {
            Plan = new Plan([new(1, 23_280), new(16, 3_000)]) { MeasuredOn = new() { PhysicalCores = 8 }, Window = whole.Plan.Window },
            Forecast = whole.Forecast with { Measured = [new(1, 1, 23_280, 1, null, 0), new(16, 10, 3_000, 1, null, 0)] },
        };

        ChartModel chart = RunTimeChart.Build(result, new ScalingChartView());

        // 8 cores and 8 second threads at 0.25.
        Assert.Equal(new ChartPoint(10, 3_000), chart.Measured[^1]);
        Assert.Equal(10, chart.MeasuredEnd!.Cores);
    }

    [Fact]
    public void Measured_UnderAWhatIfOfTheInput_MovesWithTheCurveAndSaysSo()
    {
        var plan = new Plan(SampleResult.Timings) { InputFactor = 1.5, Window = s_result.Plan.Window };

        ChartModel chart = RunTimeChart.Build(s_result with { Plan = plan }, s_heron);

        Same(23_280 * 1.5 / 1.22, chart.Measured[0].Y);
        Assert.Contains("; measured points multiplied by 1.5 for the input and divided by 1.22.", chart.Subtitle, StringComparison.Ordinal);
    }

    [Fact]
    public void Build_Twice_GivesEqualModels_AndAnotherForAnotherFigure()
    {
        ChartModel first = RunTimeChart.Build(SampleResult.Whole(), s_heron), second = RunTimeChart.Build(SampleResult.Whole(), s_heron);

        Assert.Equal(first, second);
        Assert.Equal(first.GetHashCode(), second.GetHashCode());
        Assert.NotEqual(first, RunTimeChart.Build(SampleResult.Whole(windowSeconds: 3601), s_heron));
    }

    [Theory]
    [InlineData(new int[0], "Nothing to draw yet.", "Two timings are enough for a first curve.", false)]
    [InlineData(new[] { 1 }, "One timing is a point, not a curve.", "Add a run on 4 cores or more.", true)]
    [InlineData(new[] { 8, 8 }, "One timing is a point, not a curve.", "Add a run on fewer cores.", true)]
    [InlineData(new[] { 1, 2 }, "No curve is drawn through these timings.", "They are kept as they are.", true)]
    public void WithoutCurve_SaysWhatIsMissing(int[] cores, string text, string then, bool keepsPoints)
    {
        ChartModel chart = RunTimeChart.WithoutCurve([.. cores.Select(count => new Timing(count, 3600))]);

        Assert.Equal(new ChartMessage(text, then, keepsPoints), chart.Message);
        Assert.Equal(cores.Length, chart.Measured.Count);
        Assert.Empty(chart.Lines);
    }

    [Fact]
    public void WithoutCurve_WithAProblem_SaysIt()
    {
        var problem = new ChartMessage("Times rise from 2 cores to 4.", "No curve is drawn through them.", KeepsPoints: true);

        Assert.Equal(problem, RunTimeChart.WithoutCurve(SampleResult.Timings, problem).Message);
    }

    private static ValueList<ChartPoint> Points(ChartModel chart, LineRole role) =>
        chart.Lines.Where(line => line.Role == role).SelectMany(line => line.Points).ToValueList();

    private static void Same(double expected, double actual, double relative = 1e-12) =>
        Assert.True(Math.Abs(expected - actual) <= relative * Math.Abs(expected), $"{actual} is not {expected}.");
}
