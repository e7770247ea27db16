using System.Text.Json;
using System.Text.Json.Nodes;
using Bunit;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.Charts;
using Microsoft.Extensions.DependencyInjection;

namespace Capacityplan.Web.Tests.Charts;

/// <summary>What we write of a figure, against what the plotting component itself sends its script of the same one.</summary>
public sealed class FigureJsonTests : BunitContext
{
    private static readonly PlanResult s_result = SampleResult.Whole();
    private static readonly ScalingChartView s_view = ScalingChartView.For(s_result) with { ShowAmdahl = true, ShowGustafson = true };
    private readonly BunitJSModuleInterop _plotly;

    public FigureJsonTests()
    {
        Services.AddScoped<ThemeState>();
        JSInterop.Mode = JSRuntimeMode.Loose;
        _plotly = JSInterop.SetupModule("./_content/Plotly.Blazor/plotly-interop-7.2.0.js");
        _plotly.Mode = JSRuntimeMode.Loose;
    }

    public static TheoryData<string> Charts { get; } = ["run-time", "speedup", "cost", "machine-size", "undrawn", "stretches"];

    [Theory]
    [MemberData(nameof(Charts))]
    public void Write_OfAChart_IsWhatTheComponentSends(string name)
    {
        PlotlyFigure figure = PlotlyDrawing.Draw(Chart(name), ChartColours.Light, 662);

        Render<DrawnPlot>(parameters => parameters.Add(plot => plot.UseBasicVersion, true).Add(plot => plot.Data, figure.Traces)
            .Add(plot => plot.Layout, figure.Layout).Add(plot => plot.Script, null));

        JSRuntimeInvocation sent = Assert.Single(_plotly.Invocations["newPlot"]);
        var expected = new JsonObject { ["data"] = Node(sent.Arguments[1]), ["layout"] = Node(sent.Arguments[2]) };
        JsonNode written = JsonNode.Parse(FigureJson.Write(figure.Traces, figure.Layout))!;
        Assert.True(JsonNode.DeepEquals(expected, written), $"{expected.ToJsonString()}\n{written.ToJsonString()}");
    }

    [Fact]
    public void Write_OfTwoAxes_NumbersTheSecond()
    {
        var layout = new Plotly.Blazor.Layout { YAxis = [new() { Title = new() { Text = "one" } }, new() { Title = new() { Text = "two" } }] };

        JsonNode written = JsonNode.Parse(FigureJson.Write([], layout))!;

        Assert.Equal("one", (string?)written["layout"]!["yaxis"]!["title"]!["text"]);
        Assert.Equal("two", (string?)written["layout"]!["yaxis2"]!["title"]!["text"]);
        Assert.Empty(written["data"]!.AsArray());
    }

    private static JsonNode? Node(object? argument) => JsonSerializer.SerializeToNode(argument);

    private static ChartModel Chart(string name) => name switch
    {
        "run-time" => RunTimeChart.Build(s_result, s_view),
        "speedup" => SpeedupChart.Build(s_result, s_view),
        "cost" => CostChart.Build(s_result),
        "machine-size" => MachineSizeChart.Build(s_result),
        "undrawn" => RunTimeChart.WithoutCurve([]),
        _ => RunTimeChart.WithoutCurve([]) with
        {
            Message = null,
            Stretches = [.. Enum.GetValues<TimeUse>().Select((use, row) => new RowStretch(row, row, row + 1.5, use, $"\"{use}\" <b>é</b>"))],
        },
    };
}
