using Plotly.Blazor;
using Plotly.Blazor.ConfigLib;
using Plotly.Blazor.LayoutLib;
using PlotlyLayout = Plotly.Blazor.Layout;

namespace Capacityplan.Web.Components.Charts;

/// <summary>A chart as the plotting script takes it.</summary>
/// <param name="Traces">Its data.</param>
/// <param name="Layout">Axes, strokes and colours.</param>
/// <param name="Texts">What is written over it: the page sets it, in its own styles and far quicker than the script.</param>
/// <param name="Leader">From the chosen machine's label to its point; null where there is none.</param>
public sealed record PlotlyFigure(IList<ITrace> Traces, PlotlyLayout Layout, ValueList<PlacedText> Texts, LabelLeader? Leader);

/// <summary>
/// Draws chart models with the plotting library: the one place that knows how each thing of the drawing language looks.
/// </summary>
public static class PlotlyDrawing
{
    internal const string Face = "Asap, \"Segoe UI\", system-ui, sans-serif";

    /// <summary>No menus, no dragging, no zooming: a page must scroll past a chart under a finger or a wheel.</summary>
    public static Config Config() => new()
    {
        DisplayModeBar = DisplayModeBarEnum.False,
        DisplayLogo = false,
        // A chart is drawn anew at its width, with the labels that have room there; the script does not stretch it.
        Responsive = false,
        DoubleClick = DoubleClickEnum.False,
        ShowTips = false,
        ShowAxisDragHandles = false,
        ShowAxisRangeEntryBoxes = false,
    };

    /// <summary>The same where a stretch can be drawn with the pointer; a second click shows all again.</summary>
    public static Config ZoomConfig()
    {
        Config config = Config();
        config.DoubleClick = DoubleClickEnum.Reset;
        return config;
    }

    /// <summary>A model at a width and in a theme's colours.</summary>
    /// <param name="model">What to show.</param>
    /// <param name="colours">The theme's.</param>
    /// <param name="width">Pixels.</param>
    public static PlotlyFigure Draw(ChartModel model, ChartColours colours, int width)
    {
        var frame = ChartFrame.Of(model, width);
        var traces = new PlotlyTraces(model, frame, colours).All();
        (ValueList<PlacedText> texts, LabelLeader? leader) = new ChartLabels(model, frame).All();
        return new(traces, Layout(model, frame, colours), texts, leader);
    }

    /// <summary>Position on an axis as its range wants it: the logarithm where the axis is logarithmic.</summary>
    internal static double OnAxis(ChartAxis axis, double value) =>
        PlotlyNumbers.Rounded(axis.Scale == AxisScale.Logarithmic ? Math.Log10(value) : value);

    private static PlotlyLayout Layout(ChartModel model, ChartFrame frame, ChartColours colours)
    {
        return new PlotlyLayout
        {
            Width = frame.Width,
            Height = frame.Height,
            AutoSize = false,
            Margin = new() { L = frame.Left, R = frame.Right, T = frame.Top, B = frame.Bottom, Pad = 0, AutoExpand = false },
            PaperBgColor = "rgba(0,0,0,0)",
            PlotBgColor = "rgba(0,0,0,0)",
            Font = new() { Family = Face, Size = ChartFrame.TextSize, Color = colours.Quiet },
            ShowLegend = false,
            // Under a finger the page scrolls past every chart.
            DragMode = model.ZoomsAlongX && !frame.IsNarrow ? DragModeEnum.Zoom : DragModeEnum.False,
            BarMode = BarModeEnum.Overlay,
            // Where lines are read, anywhere above a core count does; a mark must be pointed at.
            HoverMode = model.Readouts.Count == 0 && model.Stretches.Count == 0 ? HoverModeEnum.False : model.Marks.Count > 0 || model.Stretches.Count > 0 ? HoverModeEnum.Closest : HoverModeEnum.X,
            HoverDistance = 60,
            HoverLabel = new()
            {
                BgColor = colours.Sheet,
                BorderColor = colours.Edge,
                Font = new() { Family = Face, Size = ChartFrame.TextSize, Color = colours.Ink },
                Align = Plotly.Blazor.LayoutLib.HoverLabelLib.AlignEnum.Left,
            },
            XAxis = [XAxis(model, frame, colours)],
            YAxis = [YAxis(model, frame, colours)],
            Shapes = new PlotlyShapes(model, frame, colours).All(),
        };
    }

    private static XAxis XAxis(ChartModel model, ChartFrame frame, ChartColours colours) => new()
    {
        Type = model.X.Scale == AxisScale.Logarithmic ? Plotly.Blazor.LayoutLib.XAxisLib.TypeEnum.Log : Plotly.Blazor.LayoutLib.XAxisLib.TypeEnum.Linear,
        Range = [OnAxis(model.X, model.X.Low), OnAxis(model.X, model.X.High)],
        Anchor = "y",
        FixedRange = !model.ZoomsAlongX || frame.IsNarrow,
        ShowGrid = false,
        ShowLine = false,
        ZeroLine = false,
        // An axis that is zoomed finds its own.
        TickMode = model.ZoomsAlongX ? Plotly.Blazor.LayoutLib.XAxisLib.TickModeEnum.Auto : Plotly.Blazor.LayoutLib.XAxisLib.TickModeEnum.Array,
        TickVals = PlotlyNumbers.Of(model.X.Ticks.Select(tick => tick.Value)),
        ShowTickLabels = model.ZoomsAlongX,
        Ticks = Plotly.Blazor.LayoutLib.XAxisLib.TicksEnum.Outside,
        TickLen = 4,
        TickWidth = 1,
        TickColor = colours.Ink,
        TickAngle = 0,
    };

    private static YAxis YAxis(ChartModel model, ChartFrame frame, ChartColours colours) => new()
    {
        Type = model.Y.Scale == AxisScale.Logarithmic ? Plotly.Blazor.LayoutLib.YAxisLib.TypeEnum.Log : Plotly.Blazor.LayoutLib.YAxisLib.TypeEnum.Linear,
        Range = [OnAxis(model.Y, model.Y.Low), OnAxis(model.Y, model.Y.High)],
        Domain = [PlotlyNumbers.Rounded(frame.AxisAt), 1],
        FixedRange = true,
        // Rows are told apart by what is in them.
        ShowGrid = model.Stretches.Count == 0,
        GridColor = colours.Rule,
        GridWidth = 1,
        ShowLine = false,
        ZeroLine = false,
        TickMode = Plotly.Blazor.LayoutLib.YAxisLib.TickModeEnum.Array,
        // The window is ruled by itself.
        TickVals = PlotlyNumbers.Of(model.Y.Ticks.Where(tick => !tick.IsWindow).Select(tick => tick.Value)),
        ShowTickLabels = false,
        Ticks = Plotly.Blazor.LayoutLib.YAxisLib.TicksEnum.Empty,
    };
}

/// <summary>Figures on their way to the plotting script.</summary>
internal static class PlotlyNumbers
{
    /// <summary>Boxed numbers, with null where one is not finite: a gap, where the script would refuse the message.</summary>
    public static IList<object> Of(IEnumerable<double> values, int digits = 6) =>
        [.. values.Select(object (value) => double.IsFinite(value) ? Rounded(value, digits) : null!)];

    /// <summary>To six digits, finer than a pixel of any screen, to keep messages short; more where it can be looked at larger.</summary>
    public static double Rounded(double value, int significant = 6)
    {
        if (value is 0 || !double.IsFinite(value))
            return value;
        int digits = significant - 1 - (int)Math.Floor(Math.Log10(Math.Abs(value)));
        return digits is >= 0 and <= 15 ? Math.Round(value, digits) : value;
    }
}

/// <summary>Text on its way to the plotting script, which reads a few HTML tags.</summary>
internal static class PlotlyText
{
    /// <summary>Plain text: the script shows it as it is written, whatever tags a machine's name looks like.</summary>
    public static string Encoded(string text) => text
        .Replace("&", "&amp;", StringComparison.Ordinal)
        .Replace("<", "&lt;", StringComparison.Ordinal)
        .Replace(">", "&gt;", StringComparison.Ordinal);

    /// <summary>Plain text broken into lines of at most so many characters, where it has spaces.</summary>
    public static string Wrapped(string text, int characters)
    {
        var lines = new List<string>();
        string line = "";
        foreach (string word in text.Split(' '))
        {
            if (line.Length > 0 && line.Length + 1 + word.Length > characters)
            {
                lines.Add(line);
                line = word;
            }
            else
            {
                line = line.Length == 0 ? word : line + ' ' + word;
            }
        }

        lines.Add(line);
        return string.Join("<br>", lines.Select(Encoded));
    }
}
