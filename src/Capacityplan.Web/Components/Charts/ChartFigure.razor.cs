using System.Globalization;
using Capacityplan.Web.Components.Layout;
using Microsoft.AspNetCore.Components;
using Microsoft.JSInterop;
using Plotly.Blazor;

namespace Capacityplan.Web.Components.Charts;

/// <summary>
/// Draws a chart model: once when it first comes into view, then again only when the model, the theme or the width has
/// changed.
/// </summary>
public sealed partial class ChartFigure : IDisposable
{
    private const string ModulePath = "./Components/Charts/ChartFigure.razor.js";

    /// <summary>From the middle of a line of text to its baseline, pixels.</summary>
    private const double Baseline = 4;

    private static readonly Config s_config = PlotlyDrawing.Config();
    private static readonly Config s_zoomConfig = PlotlyDrawing.ZoomConfig();

    private ElementReference _plot;
    private DrawnPlot? _chart;
    private PlotlyFigure? _figure;
    private IJSObjectReference? _module;
    private DotNetObjectReference<ChartFigure>? _self;
    private IDisposable? _themeChanges;

    private ChartModel? _drawnModel;
    private ChartColours? _drawnColours;
    private int _drawnWidth;
    private ChartGlimpse? _glimpsed;

    private int _width;
    private bool _inView;
    private bool _redrawLater;
    private bool _showsNumbers;
    private bool _isGone;

    /// <summary>What to show.</summary>
    [Parameter, EditorRequired]
    public required ChartModel Model { get; set; }

    /// <summary>The picture of the model that is about to come; a chart in view follows it at once, and its words wait. Null where none is
    /// known.</summary>
    [Parameter]
    public ChartGlimpse? Glimpse { get; set; }

    /// <summary>Colours to draw in whatever the theme, as for print; null to follow the theme.</summary>
    [Parameter]
    public ChartColours? Colours { get; set; }

    /// <summary>How far a new fit has come, from 0 to 1, while the old curve is still shown, pale; null otherwise.</summary>
    [Parameter]
    public double? Progress { get; set; }

    /// <summary>False where charts side by side share one key.</summary>
    [Parameter]
    public bool ShowKey { get; set; } = true;

    /// <summary>What the band holds, as its key says it.</summary>
    [Parameter]
    public string Band { get; set; } = ChartWords.Nights(0.8);

    /// <summary>More to do with the chart, beside "Show the numbers".</summary>
    [Parameter]
    public RenderFragment? Tools { get; set; }

    /// <summary>Told of the stretch of X that was drawn with the pointer, null for all of it; where nobody is, the browser shows it by itself.</summary>
    [Parameter]
    public EventCallback<(double From, double To)?> OnStretch { get; set; }

    /// <summary>More style classes for the figure, such as its columns of the grid.</summary>
    [Parameter]
    public string? Class { get; set; }

    [Inject]
    internal IJSRuntime Js { get; init; } = null!;

    [Inject]
    internal ThemeState Theme { get; init; } = null!;

    private string TitleId => $"chart-{Model.Name}";

    private string PlotStyle =>
        $"height:{Model.Height.ToString(CultureInfo.InvariantCulture)}px" + (Colours is null ? "" : ";" + Colours.AsStyle);

    /// <summary>The browser says how wide the plot is and whether it is in view.</summary>
    [JSInvokable]
    public void Seen(int width, bool inView)
    {
        _width = width;
        _inView = inView;
        Draw();
    }

    /// <summary>The browser says which stretch of X was drawn; null for all of it.</summary>
    [JSInvokable]
    public Task Stretched(double? from, double? to) =>
        OnStretch.InvokeAsync(from is { } low && to is { } high && low < high ? (low, high) : null);

    /// <summary>The browser says that a chart out of view has waited long enough.</summary>
    [JSInvokable]
    public void DrawNow()
    {
        if (!IsDrawn())
            Redraw(Model);
    }

    protected override void OnInitialized() => _themeChanges = Theme.Subscribe(() => InvokeAsync(Draw));

    protected override void OnParametersSet() => Draw();

    protected override async Task OnAfterRenderAsync(bool firstRender)
    {
        if (firstRender)
        {
            IJSObjectReference module = await Js.InvokeAsync<IJSObjectReference>("import", ModulePath);
            if (_isGone)
            {
                module.LetGo();
                return;
            }

            (_module, _self) = (module, DotNetObjectReference.Create(this));
            await _module.InvokeVoidAsync("observe", _plot, _self);
            if (OnStretch.HasDelegate)
                await _module.InvokeVoidAsync("tellOfStretches", _plot, _self);
        }

        if (_isGone)
            return;

        if (_redrawLater && _module is not null)
        {
            _redrawLater = false;
            await _module.InvokeVoidAsync("drawLater", _plot);
        }
    }

    public void Dispose()
    {
        _isGone = true;
        _themeChanges?.Dispose();
        _module.LetGo(_self, "forget", _plot);
    }

    private void Draw()
    {
        if (_width == 0)
            return;
        if (_inView && Glimpse is { } glimpse && _chart is { } chart && IsAsDrawn())
        {
            Look(chart, glimpse);
            return;
        }

        if (IsDrawn())
            return;
        if (_inView)
        {
            Redraw(Model);
            return;
        }

        _redrawLater = true;
        StateHasChanged();
    }

    private bool IsDrawn() => IsAsDrawn() && _drawnModel is not null && _drawnModel.Equals(Model);

    /// <summary>True where it stands in the width and the colours it was drawn in.</summary>
    private bool IsAsDrawn() => _drawnWidth == _width && _drawnColours == CurrentColours();

    private void Look(DrawnPlot chart, ChartGlimpse glimpse)
    {
        if (ReferenceEquals(_glimpsed, glimpse))
            return;
        _glimpsed = glimpse;
        ChartModel model = glimpse.Build();
        if (glimpse.IsWhole)
        {
            if (_drawnModel is null || !_drawnModel.Equals(model))
                Redraw(model);
            return;
        }

        _drawnModel = null;
        _ = DrawAsync(chart, PlotlyDrawing.Draw(model, CurrentColours(), _width), isCoarse: true);
    }

    private ChartColours CurrentColours() => Colours ?? ChartColours.For(Theme.IsDark);

    private void Redraw(ChartModel model)
    {
        _drawnModel = model;
        _drawnColours = CurrentColours();
        _drawnWidth = _width;
        _figure = PlotlyDrawing.Draw(model, _drawnColours, _width);
        // The plotting component draws what it is created with by itself.
        if (_chart is { } chart)
            _ = DrawAsync(chart, _figure);
        StateHasChanged();
    }

    private async Task DrawAsync(DrawnPlot chart, PlotlyFigure figure, bool isCoarse = false)
    {
        try
        {
            await (isCoarse ? chart.MoveAsync(figure) : chart.DrawAsync(figure));
        }
        catch (JSException exception)
        {
            await DispatchExceptionAsync(exception);
        }
    }

    private void ToggleNumbers() => _showsNumbers = !_showsNumbers;

    private static string Pixels(double value) => value.ToString("0.#", CultureInfo.InvariantCulture);

    private static string Percent(double share) => string.Create(CultureInfo.InvariantCulture, $"{share * 100:0.#}%");
}
