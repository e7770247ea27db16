using System.Globalization;
using System.Text.Json;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.Charts;
using Plotly.Blazor.LayoutLib;
using PlotlyLayout = Plotly.Blazor.Layout;
using Scatter = Plotly.Blazor.Traces.Scatter;

namespace Capacityplan.Web.Tests.Charts;

public sealed class PlotlyDrawingTests
{
    private static readonly PlanResult s_result = SampleResult.Whole();
    private static readonly PlanResult s_late = SampleResult.Whole(windowSeconds: 1080);
    private static readonly PlanResult s_open = SampleResult.Whole(windowSeconds: null);
    private static readonly ScalingChartView s_view = ScalingChartView.For(s_result);

    public static TheoryData<string, int> ChartsAndWidths()
    {
        var data = new TheoryData<string, int>();
        foreach (string chart in (string[])["run-time", "run-time, laws", "speedup", "speedup, laws", "cost", "machine-size", "run-time, late", "speedup, late", "cost, late", "run-time, no window", "cost, no window"])
        {
            foreach (int width in (int[])[326, 358, 466, 662, 820, 1152])
                data.Add(chart, width);
        }

        return data;
    }

    [Fact]
    public void Numbers_ThatAreNotFinite_BecomeGaps()
    {
        ChartModel chart = RunTimeChart.Build(s_result, s_view) with
        {
            Lines = [new(LineRole.Median, [new(1, 10), new(2, double.NaN), new(4, double.PositiveInfinity), new(8, 20)])],
        };

        Scatter line = Traces(chart).Single(trace => trace.Line?.Width == 2.5m);

        Assert.Equal([10.0, null, null, 20.0], line.Y);
        string json = JsonSerializer.Serialize(line.Y);
        Assert.Equal("[10,null,null,20]", json);
    }

    [Fact]
    public void Names_ThatLookLikeTags_AreShownAsTheyAreWritten()
    {
        MachineType named = SampleResult.Machine("<b>x</b>-16", 16, 8, 1.22, 64, 45, 1.50m);
        PlanResult result = SampleResult.Whole(machines: SampleResult.Catalogue.Where(machine => machine.Name != "Heron-16").Append(named));

        foreach (ChartModel chart in (ChartModel[])[RunTimeChart.Build(result, s_view), SpeedupChart.Build(result, s_view), CostChart.Build(result), MachineSizeChart.Build(result)])
        {
            PlotlyFigure figure = PlotlyDrawing.Draw(chart, ChartColours.Light, 662);
            string[] texts =
            [
                .. figure.Traces.Cast<Scatter>().SelectMany(trace => trace.HoverTextArray ?? []),
            ];
            Assert.DoesNotContain(texts, text => text.Contains("<b>", StringComparison.Ordinal));
            Assert.Contains(texts, text => text.Contains("&lt;b&gt;x&lt;/b&gt;", StringComparison.Ordinal));
            // What the page itself writes, it encodes itself.
            Assert.Contains(figure.Texts, text => text.Text.Contains("<b>x</b>", StringComparison.Ordinal));
        }
    }

    [Fact]
    public void Readouts_AreSilentExceptForTheirOwnTrace()
    {
        Scatter[] traces = Traces(RunTimeChart.Build(s_result, s_view));

        Scatter readouts = Assert.Single(traces, trace => trace.HoverInfo != Plotly.Blazor.Traces.ScatterLib.HoverInfoFlag.Skip);
        Assert.Contains("16\u00A0cores: 28\u00A0min (27 to 30), 11 times faster; 71\u00A0% of it work.", readouts.HoverTextArray);
        Assert.Equal(0, readouts.Marker.Opacity);
    }

    [Fact]
    public void Readouts_OnANarrowScreen_AreBrokenIntoLines()
    {
        PlotlyFigure figure = PlotlyDrawing.Draw(RunTimeChart.Build(s_result, s_view), ChartColours.Light, 358);

        string text = figure.Traces.Cast<Scatter>().SelectMany(trace => trace.HoverTextArray ?? []).First(text => text.StartsWith("16", StringComparison.Ordinal));
        Assert.All(text.Split("<br>"), line => Assert.InRange(line.Length, 1, 36));
    }

    [Fact]
    public void Axes_OfTheScalingCharts_AreLogarithmicWithTicksOfOurOwn()
    {
        ChartModel chart = RunTimeChart.Build(s_result, s_view);

        PlotlyFigure drawn = PlotlyDrawing.Draw(chart, ChartColours.Light, 662);
        PlotlyLayout layout = drawn.Layout;

        Assert.Equal(Plotly.Blazor.LayoutLib.XAxisLib.TypeEnum.Log, layout.XAxis[0].Type);
        Assert.Equal([0.0, Math.Round(Math.Log10(128), 5)], layout.XAxis[0].Range);
        Assert.Equal(["1", "2", "4", "8", "16", "32", "64", "128"], drawn.Texts.Where(text => text.Side == 0).Take(8).Select(text => text.Text));
        Assert.True(layout.XAxis[0].FixedRange);
        Assert.Contains(drawn.Texts, text => text is { Text: "60\u00A0min", Style: "wn", Side: -1 });
        Assert.Equal(DragModeEnum.False, layout.DragMode);
    }

    [Fact]
    public void Colours_FollowTheSetHandedIn()
    {
        ChartModel chart = RunTimeChart.Build(s_result, s_view);

        object[] light = Colours(ChartColours.Light), dark = Colours(ChartColours.Dark);

        Assert.Contains(ChartColours.Light.Window, light);
        Assert.Contains(ChartColours.Dark.Window, dark);
        Assert.DoesNotContain(ChartColours.Light.Ink, dark);
        Assert.Equal("rgba(11,98,160,0.17)", ChartColours.Light.BandFill);
        Assert.Equal("rgba(108,192,245,0.24)", ChartColours.Dark.BandFill);
        Assert.Contains("--forecast:#6CC0F5;", ChartColours.Dark.AsStyle, StringComparison.Ordinal);

        object[] Colours(ChartColours colours) => [.. PlotlyDrawing.Draw(chart, colours, 662).Layout.Shapes.Select(shape => shape.Line.Color)];
    }

    [Theory]
    [MemberData(nameof(ChartsAndWidths))]
    public void Texts_AtAnyWidth_StandInsideAndApart(string name, int width)
    {
        ChartModel chart = Chart(name);
        (string Text, Box Box)[] texts = [.. PlotlyDrawing.Draw(chart, ChartColours.Light, width).Texts.Select(text => (text.Text, Box.OfText(text.X, text.Y, text.Text, text.Side)))];

        Assert.All(texts, text => Assert.True(text.Box.Left >= -1 && text.Box.Right <= width + 3, $"{text.Text} is cut off: {text.Box} of {width}."));
        foreach ((string Text, Box Box) one in texts)
        {
            foreach ((string Text, Box Box) other in texts.Where(other => other != one))
                Assert.False(Inner(one.Box).Overlaps(Inner(other.Box)), $"'{one.Text}' lies on '{other.Text}'.");
        }
    }

    [Theory]
    [MemberData(nameof(ChartsAndWidths))]
    public void Message_ToTheBrowser_IsSmall(string name, int width)
    {
        PlotlyFigure figure = PlotlyDrawing.Draw(Chart(name), ChartColours.Light, width);

        int points = figure.Traces.Cast<Scatter>().Sum(trace => trace.X.Count);

        Assert.All(figure.Traces.Cast<Scatter>(), trace => Assert.InRange(trace.X.Count, 1, 250));
        // Each takes the script milliseconds, however short it is.
        Assert.InRange(figure.Traces.Count, 2, 11);
        Assert.InRange(figure.Layout.Shapes.Count, 2, 12);
        Assert.InRange(points, 10, 700);
        Assert.All(figure.Traces.Cast<Scatter>().SelectMany(trace => trace.Y).OfType<double>(), value => Assert.InRange(value.ToString(CultureInfo.InvariantCulture).Length, 1, 10));
    }

    [Fact]
    public void Posts_OnANarrowScreen_NameTheirFamilyOnce()
    {
        ChartModel chart = RunTimeChart.Build(s_result, s_view);

        string[] narrow = [.. PlotlyDrawing.Draw(chart, ChartColours.Light, 358).Texts.Select(text => text.Text)];
        string[] wide = [.. PlotlyDrawing.Draw(chart, ChartColours.Light, 662).Texts.Select(text => text.Text)];

        Assert.Contains("Heron", narrow);
        Assert.Contains("64", narrow);
        Assert.DoesNotContain("Heron-64", narrow);
        Assert.Contains("Heron-64", wide);
        Assert.Contains("Heron-16, 40\u00A0min", narrow);
    }

    [Fact]
    public void Chosen_IsRuledTwice_UpToItsPointOnTheCurve()
    {
        ChartModel chart = RunTimeChart.Build(s_result, s_view);

        Shape pair = Assert.Single(PlotlyDrawing.Draw(chart, ChartColours.Light, 662).Layout.Shapes, shape => shape.Line.Width == 1.5m);

        // Two strokes in one path: from (x, foot) up to (x, top) each.
        double[] numbers = [.. pair.Path.Split(['M', 'L', ','], StringSplitOptions.RemoveEmptyEntries).Select(number => double.Parse(number, CultureInfo.InvariantCulture))];
        Assert.Equal(8, numbers.Length);
        Assert.Equal((numbers[0], numbers[4]), (numbers[2], numbers[6]));
        (double left, double right) = (numbers[0], numbers[4]);
        Assert.True(left < 10 && right > 10);
        // Five pixels apart on the 546 between 1 and 128 cores.
        Assert.InRange(Math.Log2(right / left) / 7 * 546, 4.8, 5.2);
        Assert.InRange(numbers[3], chart.Y.Low, chart.Chosen!.Point.Y);
    }

    [Fact]
    public void Undrawn_WithNothingMeasured_HasDottedAxesAndTheMessage()
    {
        PlotlyFigure figure = PlotlyDrawing.Draw(RunTimeChart.WithoutCurve([]), ChartColours.Light, 662);

        Assert.Empty(figure.Traces);
        Shape axes = Assert.Single(figure.Layout.Shapes);
        Assert.Equal("1px,4px", axes.Line.Dash);
        Assert.Equal(2, axes.Path.Count(letter => letter == 'M'));
        Assert.Contains(figure.Texts, text => text.Text == "Two timings are enough for a first curve.");
    }

    private static ChartModel Chart(string name) => name switch
    {
        "run-time" => RunTimeChart.Build(s_result, s_view),
        "run-time, laws" => RunTimeChart.Build(s_result, s_view with { ShowAmdahl = true }),
        "speedup" => SpeedupChart.Build(s_result, s_view),
        "speedup, laws" => SpeedupChart.Build(s_result, s_view with { ShowAmdahl = true, ShowGustafson = true }),
        "cost" => CostChart.Build(s_result),
        "run-time, late" => RunTimeChart.Build(s_late, ScalingChartView.For(s_late)),
        "speedup, late" => SpeedupChart.Build(s_late, ScalingChartView.For(s_late)),
        "cost, late" => CostChart.Build(s_late),
        "run-time, no window" => RunTimeChart.Build(s_open, ScalingChartView.For(s_open)),
        "cost, no window" => CostChart.Build(s_open),
        _ => MachineSizeChart.Build(s_result),
    };

    private static Scatter[] Traces(ChartModel chart) => [.. PlotlyDrawing.Draw(chart, ChartColours.Light, 662).Traces.Cast<Scatter>()];

    /// <summary>The estimate of a text's width errs to the wide side; its outermost pixels may touch.</summary>
    private static Box Inner(Box box) => new(box.Left + 2, box.Top + 2, box.Right - 2, box.Bottom - 2);
}
