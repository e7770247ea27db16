using AngleSharp.Dom;
using Bunit;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.Charts;
using Microsoft.Extensions.DependencyInjection;
using Plotly.Blazor;

namespace Capacityplan.Web.Tests.Charts;

public sealed class ChartFigureTests : BunitContext
{
    /// <summary>The plotting component's own module carries its version in its path.</summary>
    private const string PlotlyModule = "./_content/Plotly.Blazor/plotly-interop-7.2.0.js";

    private static readonly PlanResult s_result = SampleResult.Whole();
    private static readonly ScalingChartView s_view = ScalingChartView.For(s_result);

    private readonly BunitJSModuleInterop _plotly;
    private readonly BunitJSModuleInterop _own;

    public ChartFigureTests()
    {
        Services.AddScoped<ThemeState>();
        _own = JSInterop.SetupModule("./Components/Charts/ChartFigure.razor.js");
        _own.Mode = JSRuntimeMode.Loose;
        _plotly = JSInterop.SetupModule(PlotlyModule);
        _plotly.Mode = JSRuntimeMode.Loose;
    }

    private ThemeState Theme => Services.GetRequiredService<ThemeState>();

    [Fact]
    public void Figure_UntilTheBrowserHasSaidItsWidth_HoldsItsPlaceAndSaysEverythingInWords()
    {
        IRenderedComponent<ChartFigure> figure = Figure();

        Assert.Empty(figure.FindComponents<DrawnPlot>());
        Assert.Equal("height:500px", figure.Find(".plot").GetAttribute("style"));
        Assert.Equal("true", figure.Find(".plot").GetAttribute("aria-hidden"));
        Assert.Equal(figure.Find("h3").Id, figure.Find("figure").GetAttribute("aria-labelledby"));
        Assert.Equal(Model().Title, string.Join(' ', figure.Find("h3.lead").TextContent.Split([' ', '\n'], StringSplitOptions.RemoveEmptyEntries)));
        Assert.Equal(Model().Subtitle, figure.Find("p.sub").TextContent);
        Assert.Equal(Model().TextAlternative, figure.Find("figcaption .vh").TextContent);
        Assert.Single(_own.Invocations["observe"]);
    }

    [Fact]
    public async Task Figure_OnceInView_IsDrawnOnceWithTheBasicBundle()
    {
        IRenderedComponent<ChartFigure> figure = Figure();

        await See(figure, 662);

        PlotlyChart chart = figure.FindComponent<DrawnPlot>().Instance;
        Assert.True(chart.UseBasicVersion);
        Assert.Single(_plotly.Invocations["newPlot"]);
        Assert.Empty(_own.Invocations["draw"]);
        Assert.Equal(662, chart.Layout.Width);
    }

    [Fact]
    public async Task Figure_WithAnEqualModel_IsNotDrawnAgain()
    {
        IRenderedComponent<ChartFigure> figure = Figure();
        await See(figure, 662);

        figure.Render(parameters => parameters.Add(component => component.Model, Model()));
        await See(figure, 662);

        Assert.NotSame(Model(), figure.Instance.Model);
        Assert.Empty(_own.Invocations["draw"]);
    }

    [Fact]
    public async Task Figure_WithAnotherModel_IsDrawnOnceMore()
    {
        IRenderedComponent<ChartFigure> figure = Figure();
        await See(figure, 662);

        figure.Render(parameters => parameters.Add(component => component.Model, RunTimeChart.Build(SampleResult.Whole(windowSeconds: 1800), s_view)));

        JSRuntimeInvocation drawn = Assert.Single(_own.Invocations["draw"]);
        Assert.Contains(",1800L1,1800", Sent(drawn), StringComparison.Ordinal);
        Assert.Contains("30\u00A0min", figure.Find("svg.labels").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Figure_UnderAnotherTheme_IsDrawnInItsColours()
    {
        IRenderedComponent<ChartFigure> figure = Figure();
        await See(figure, 662);

        await figure.InvokeAsync(() => Theme.Set(isDark: true));

        string sent = Sent(Assert.Single(_own.Invocations["draw"]));
        Assert.Contains(ChartColours.Dark.Forecast, sent, StringComparison.Ordinal);
        Assert.DoesNotContain(ChartColours.Light.Forecast, sent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Figure_WithColoursOfItsOwn_KeepsThemUnderAnyTheme()
    {
        IRenderedComponent<ChartFigure> figure = Figure(parameters => parameters.Add(component => component.Colours, ChartColours.Print));
        await See(figure, 662);

        await figure.InvokeAsync(() => Theme.Set(isDark: true));

        Assert.Empty(_own.Invocations["draw"]);
    }

    [Fact]
    public async Task Figure_AtAnotherWidth_IsDrawnForIt()
    {
        IRenderedComponent<ChartFigure> figure = Figure();
        await See(figure, 662);

        await See(figure, 358);

        string sent = Sent(Assert.Single(_own.Invocations["draw"]));
        Assert.Contains("\"width\":358", sent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Figure_OutOfView_WaitsUntilThePauseOrUntilItIsSeen()
    {
        IRenderedComponent<ChartFigure> figure = Figure();
        await See(figure, 662);
        await See(figure, 662, inView: false);

        figure.Render(parameters => parameters.Add(component => component.Model, RunTimeChart.Build(SampleResult.Whole(windowSeconds: 1800), s_view)));
        Assert.Empty(_own.Invocations["draw"]);
        Assert.Single(_own.Invocations["drawLater"]);

        await figure.InvokeAsync(figure.Instance.DrawNow);
        Assert.Single(_own.Invocations["draw"]);

        figure.Render(parameters => parameters.Add(component => component.Model, Model()));
        await See(figure, 662);
        Assert.Equal(2, _own.Invocations["draw"].Count);

        // The pause ends after it was drawn: nothing is left to do.
        await figure.InvokeAsync(figure.Instance.DrawNow);
        Assert.Equal(2, _own.Invocations["draw"].Count);
    }

    [Fact]
    public async Task Figure_WhileANewFitIsUnderWay_ShowsTheOldCurvePaleWithoutDrawing()
    {
        IRenderedComponent<ChartFigure> figure = Figure();
        await See(figure, 662);

        figure.Render(parameters => parameters.Add(component => component.Progress, 0.4));

        Assert.Contains("redrawing", figure.Find(".plot").ClassList);
        Assert.Equal("fitting, 40\u00A0%", figure.Find(".fitting").TextContent);
        Assert.Empty(_own.Invocations["draw"]);

        figure.Render(parameters => parameters.Add(component => component.Progress, null));
        Assert.Empty(figure.FindAll(".fitting"));
        Assert.Empty(_own.Invocations["draw"]);
    }

    [Fact]
    public async Task Figure_WithACoarseGlimpse_MovesToItOnce_AndBackWhereNothingComesOfIt()
    {
        IRenderedComponent<ChartFigure> figure = Figure();
        await See(figure, 662);
        string words = figure.Find("figcaption").TextContent, labels = figure.Find("svg.labels").TextContent;
        var glimpse = new ChartGlimpse(Sooner, IsWhole: false);

        figure.Render(parameters => parameters.Add(component => component.Glimpse, glimpse));
        figure.Render(parameters => parameters.Add(component => component.Progress, 0.4));

        Assert.Contains(",1800L1,1800", Sent(Assert.Single(_own.Invocations["moveTo"])), StringComparison.Ordinal);
        Assert.Empty(_own.Invocations["draw"]);
        Assert.Equal(words, figure.Find("figcaption").TextContent);
        Assert.Equal(labels, figure.Find("svg.labels").TextContent);

        figure.Render(parameters => parameters.Add(component => component.Glimpse, null));
        Assert.DoesNotContain(",1800L1,1800", Sent(Assert.Single(_own.Invocations["draw"])), StringComparison.Ordinal);
        Assert.Single(_own.Invocations["moveTo"]);
    }

    [Fact]
    public async Task Figure_WithAWholeGlimpse_IsDrawnBeforeItsWords_AndNotAgainWithThem()
    {
        IRenderedComponent<ChartFigure> figure = Figure();
        await See(figure, 662);
        string words = figure.Find("figcaption").TextContent;

        figure.Render(parameters => parameters.Add(component => component.Glimpse, new ChartGlimpse(Sooner, IsWhole: true)));

        Assert.Contains(",1800L1,1800", Sent(Assert.Single(_own.Invocations["draw"])), StringComparison.Ordinal);
        Assert.Equal(words, figure.Find("figcaption").TextContent);

        figure.Render(parameters => parameters.Add(component => component.Glimpse, null).Add(component => component.Model, Sooner()));
        Assert.Single(_own.Invocations["draw"]);
        Assert.Contains(Sooner().TextAlternative, figure.Find("figcaption").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Figure_WithAGlimpseThatLooksTheSame_IsNotDrawn()
    {
        IRenderedComponent<ChartFigure> figure = Figure();
        await See(figure, 662);

        figure.Render(parameters => parameters.Add(component => component.Glimpse, new ChartGlimpse(Model, IsWhole: true)));
        figure.Render(parameters => parameters.Add(component => component.Glimpse, null));

        Assert.Empty(_own.Invocations["draw"]);
    }

    [Fact]
    public async Task Figure_OutOfView_DoesNotBuildAGlimpse()
    {
        IRenderedComponent<ChartFigure> figure = Figure();
        await See(figure, 662);
        await See(figure, 662, inView: false);

        figure.Render(parameters => parameters.Add(
            component => component.Glimpse, new ChartGlimpse(() => throw new InvalidOperationException("built"), IsWhole: true)));

        Assert.Empty(_own.Invocations["moveTo"]);
        Assert.Empty(_own.Invocations["draw"]);
    }

    [Fact]
    public void Numbers_WhenAskedFor_AreTheModelsTable()
    {
        IRenderedComponent<ChartFigure> figure = Figure();
        Assert.Empty(figure.FindAll("table"));
        Assert.Equal("false", figure.Find(".tools button").GetAttribute("aria-expanded"));

        figure.Find(".tools button").Click();

        ChartTable table = Model().Table;
        Assert.Equal(table.Columns, figure.FindAll("thead th").Select(cell => cell.TextContent));
        IElement[] rows = [.. figure.FindAll("tbody tr")];
        Assert.Equal(table.Rows.Count, rows.Length);
        Assert.Equal(table.Rows[3].Cells, rows[3].Children.Select(cell => cell.TextContent.Trim()));
        Assert.Equal("·not known", rows[4].Children[3].TextContent.Trim());
        Assert.Equal("true", figure.Find(".tools button").GetAttribute("aria-expanded"));
        Assert.Equal("Hide the numbers", figure.Find(".tools button").TextContent);
    }

    [Fact]
    public void Key_ExplainsTheSignsDrawn_UnlessItIsSharedElsewhere()
    {
        IRenderedComponent<ChartFigure> figure = Figure();
        Assert.Equal(Model().Key.Count, figure.FindAll(".key > span").Count);
        Assert.Contains("8 nights in 10", figure.Find(".key").TextContent, StringComparison.Ordinal);

        figure.Render(parameters => parameters.Add(component => component.ShowKey, false));
        Assert.Empty(figure.FindAll(".key"));
    }

    [Fact]
    public void Name_OfAMachine_IsTextInTheTableToo()
    {
        PlanResult result = SampleResult.Whole(machines: [SampleResult.Machine("<b>x</b>", 16, 8, 1.22, 64, 45, 1.50m)]);
        IRenderedComponent<ChartFigure> figure = Render<ChartFigure>(parameters => parameters.Add(component => component.Model, CostChart.Build(result)));

        figure.Find(".tools button").Click();

        Assert.Empty(figure.FindAll("tbody b"));
        Assert.StartsWith("<b>x</b>", figure.Find("tbody th").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Figure_WhenItGoes_TakesItsObserversAlong()
    {
        Figure();

        await DisposeComponentsAsync();

        Assert.Single(_own.Invocations["forget"]);
        // A theme change reaches nobody any more.
        Theme.Set(isDark: true);
    }

    private static ChartModel Sooner() => RunTimeChart.Build(SampleResult.Whole(windowSeconds: 1800), s_view);

    private static ChartModel Model() => RunTimeChart.Build(s_result, s_view);

    /// <summary>The figure as it was sent: JSON.</summary>
    private static string Sent(JSRuntimeInvocation invocation) => Assert.IsType<string>(invocation.Arguments[1]);

    private static Task See(IRenderedComponent<ChartFigure> figure, int width, bool inView = true) =>
        figure.InvokeAsync(() => figure.Instance.Seen(width, inView));

    private IRenderedComponent<ChartFigure> Figure(Action<ComponentParameterCollectionBuilder<ChartFigure>>? more = null) =>
        Render<ChartFigure>(parameters =>
        {
            parameters.Add(component => component.Model, Model());
            more?.Invoke(parameters);
        });
}
