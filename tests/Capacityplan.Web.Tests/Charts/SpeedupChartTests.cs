using Capacityplan.Core.Laws;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Tests.Charts;

public sealed class SpeedupChartTests
{
    private static readonly PlanResult s_result = SampleResult.Whole();
    private static readonly ScalingChartView s_heron = ScalingChartView.For(s_result);

    [Fact]
    public void Lines_AreTheForecastsSpeedups_AtEveryCoreSpeed()
    {
        foreach (double speed in (double[])[1, 1.22])
        {
            ChartModel chart = SpeedupChart.Build(s_result, new ScalingChartView { CoreSpeed = speed });

            ChartLine[] medians = [.. chart.Lines.Where(line => line.Role is LineRole.Median or LineRole.MedianBeyond)];
            Assert.Equal(2, medians.Length);
            Assert.All(medians.SelectMany(line => line.Points), point => Same(SampleResult.Point(point.X).Speedup.Median, point.Y));
            Assert.All(chart.Band, point => Same(SampleResult.Point(point.X).Speedup.High, point.High));
            Assert.All(Line(chart, LineRole.Floor), point => Same(SampleResult.Seconds(1) / SampleResult.Point(point.X).FloorSeconds, point.Y));
            Assert.All(Line(chart, LineRole.Ceiling), point => Same(SampleResult.Seconds(1) / SampleResult.Point(point.X).GreedyCeilingSeconds, point.Y));
            Same(SampleResult.Seconds(1) / 11_800, chart.Measured[1].Y);
        }
    }

    [Fact]
    public void Title_NamesTheChosenSizeAndSixtyFour() =>
        Assert.Equal("Speedup bends early: 8\u00A0times at ten, 23 at sixty-four", SpeedupChart.Build(s_result, s_heron).Title);

    [Fact]
    public void Title_OfAJobThatScales_SaysSo()
    {
        Forecast forecast = SampleResult.Forecast();
        PlanResult result = SampleResult.Whole(forecast: forecast with
        {
            Points = [],
            Curve = [.. forecast.Curve.Select(point => point with { Speedup = new(point.Cores * 0.95, point.Cores * 0.9, point.Cores), Efficiency = 0.95 })],
        });

        Assert.Equal("Speedup holds up: 9.5\u00A0times at ten, 61 at sixty-four", SpeedupChart.Build(result, s_heron).Title);
    }

    [Fact]
    public void Limit_WithinTheAxis_IsWrittenAtTheBound()
    {
        ChartModel chart = SpeedupChart.Build(s_result, s_heron);

        ChartNote note = Assert.Single(chart.Notes, note => note.Role == NoteRole.Key);
        Assert.Equal("31 times at most", note.Text);
        Same(SampleResult.WorkSeconds / SampleResult.SpanSeconds, note.Point.Y);
        Assert.Equal("Times faster than one core. Both axes logarithmic.", chart.Subtitle);
    }

    [Fact]
    public void Limit_FarBeyondTheAxis_IsLeftToTheSubtitle()
    {
        Forecast forecast = SampleResult.Forecast();
        PlanResult result = SampleResult.Whole(forecast: forecast with
        {
            SpanSeconds = 3,
            Curve = [.. forecast.Curve.Select(point => point with { FloorSeconds = SampleResult.WorkSeconds / point.Cores })],
            Points = [.. forecast.Points.Select(point => point with { FloorSeconds = SampleResult.WorkSeconds / point.Cores })],
        });

        ChartModel chart = SpeedupChart.Build(result, s_heron);

        Assert.DoesNotContain(chart.Notes, note => note.Role == NoteRole.Key);
        Assert.EndsWith(" At most 7,740 times, however many cores.", chart.Subtitle, StringComparison.Ordinal);
    }

    [Fact]
    public void Limit_WithoutASpan_IsNotClaimed()
    {
        ChartModel chart = SpeedupChart.Build(SampleResult.Whole(forecast: SampleResult.Forecast() with { SpanSeconds = 0 }), s_heron);

        Assert.DoesNotContain("at most", chart.Subtitle + string.Concat(chart.Notes.Select(note => note.Text)) + chart.TextAlternative, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public void Laws_WhenAsked_AreThoseOfTheJobsSerialShare()
    {
        ChartModel chart = SpeedupChart.Build(s_result, s_heron with { ShowAmdahl = true, ShowGustafson = true });
        double serial = s_result.Forecast.SerialFraction;

        Assert.All(Line(chart, LineRole.Amdahl), point => Same(Amdahl.Speedup(serial, point.X), point.Y));
        Assert.All(Line(chart, LineRole.Gustafson), point => Same(Gustafson.Speedup(serial, point.X), point.Y));
        Assert.True(chart.Y.High >= Line(chart, LineRole.Gustafson)[^1].Y);
        Assert.Contains(KeySign.Gustafson, chart.Key);
        Assert.DoesNotContain(SpeedupChart.Build(s_result, s_heron).Lines, line => line.Role is LineRole.Amdahl or LineRole.Gustafson);
    }

    [Fact]
    public void Chosen_HasItsSpeedupAndHowFarItsCoresAreUsed()
    {
        ChosenPoint chosen = SpeedupChart.Build(s_result, s_heron).Chosen!;

        Assert.Equal("Heron-16: 8.0 times", chosen.Label);
        Assert.Equal("80\u00A0% of each core used", chosen.Detail);
        Same(SampleResult.Seconds(1) / SampleResult.Seconds(10), chosen.Point.Y);
    }

    private static ValueList<ChartPoint> Line(ChartModel chart, LineRole role) => chart.Lines.Single(line => line.Role == role).Points;

    private static void Same(double expected, double actual) =>
        Assert.True(Math.Abs(expected - actual) <= 1e-12 * Math.Abs(expected), $"{actual} is not {expected}.");
}
