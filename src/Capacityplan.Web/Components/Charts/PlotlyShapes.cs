using System.Globalization;
using System.Text;
using Plotly.Blazor.LayoutLib;
using Plotly.Blazor.LayoutLib.ShapeLib;

namespace Capacityplan.Web.Components.Charts;

/// <summary>Straight strokes of a chart: axis, posts, drops, the window, marks; and the strip of shares under it.</summary>
internal sealed class PlotlyShapes(ChartModel model, ChartFrame frame, ChartColours colours)
{
    private const string Dots = "1px,4px";

    // Twice ruled is the chosen one: two strokes, pixels either side of its place.
    private static readonly double[] s_pair = [-2.5, 2.5];

    public IList<Shape> All()
    {
        var shapes = new List<Shape>();
        if (model.Shares is { } shared)
            shapes.AddRange(Strip(shared));
        shapes.AddRange(Axes());
        if (model.Window is { } window)
            shapes.Add(WindowStroke(window));
        if (model.MeasuredEnd is { Label.Length: > 0 } end)
            shapes.Add(Stroke(end.Cores, model.Y.Low, end.Cores, end.Top, colours.Ink, 1, Dots));
        foreach (Upright upright in model.Uprights)
            shapes.Add(Stroke(upright.X, model.Y.Low, upright.X, frame.YShifted(model.Y.High, 0), upright.IsKey ? colours.Ink : colours.Edge, upright.IsKey ? 2 : 1, null));
        shapes.AddRange(OfEveryState(model.Posts, StateOf, Post));
        shapes.AddRange(model.Marks.Where(mark => mark.Heavy is not null).Select(ToHeavyNight));
        shapes.AddRange(OfEveryState(model.Marks, mark => mark.State, Mark));
        if (model.Shares is { } shares)
            shapes.AddRange(StripEdges(shares));
        return [.. Together(shapes)];
    }

    /// <summary>Strokes and boxes that look alike are one path, since it is their number that takes time to draw.</summary>
    private static IEnumerable<Shape> Together(IEnumerable<Shape> shapes) => shapes
        .GroupBy(shape => (shape.Type, shape.Layer, shape.XRef, shape.YRef, shape.FillColor, shape.Line.Color, shape.Line.Width, shape.Line.Dash))
        .Select(alike => alike.Key.Type == TypeEnum.Path ? alike.First() : AsPath([.. alike]));

    private static Shape AsPath(Shape[] alike)
    {
        var path = new StringBuilder();
        foreach (Shape shape in alike)
        {
            if (shape.Type == TypeEnum.Rect)
                path.Append(CultureInfo.InvariantCulture, $"M{shape.X0},{shape.Y0}L{shape.X1},{shape.Y0}L{shape.X1},{shape.Y1}L{shape.X0},{shape.Y1}Z");
            else
                path.Append(CultureInfo.InvariantCulture, $"M{shape.X0},{shape.Y0}L{shape.X1},{shape.Y1}");
        }

        Shape all = alike[0];
        (all.Type, all.Path) = (TypeEnum.Path, path.ToString());
        (all.X0, all.Y0, all.X1, all.Y1) = (null, null, null, null);
        return all;
    }

    private IEnumerable<Shape> Axes()
    {
        double split = model.Message is { KeepsPoints: false } ? model.X.Low
            : model.MeasuredEnd is { } end ? end.Cores
            : model.Band.Count > 0 ? model.X.Low
            : model.X.High;
        if (split > model.X.Low)
            yield return AlongAxis(model.X.Low, split, null);
        if (split < model.X.High)
            yield return AlongAxis(split, model.X.High, Dots);

        // An upright axis stands only where nothing else does.
        if (model.Message is { } message)
        {
            Shape upright = Stroke(model.X.Low, 0, model.X.Low, 1, colours.Ink, 1, message.KeepsPoints ? null : Dots);
            upright.YRef = "paper";
            yield return upright;
        }
    }

    private Shape AlongAxis(double from, double to, string? dash)
    {
        Shape stroke = Stroke(from, frame.AxisAt, to, frame.AxisAt, colours.Ink, 1, dash);
        stroke.YRef = "paper";
        return stroke;
    }

    private Shape WindowStroke(WindowLine window)
    {
        Shape stroke = window.IsVertical
            ? Stroke(window.Seconds, 0, window.Seconds, 1, colours.Window, 2, null)
            : Stroke(0, window.Seconds, 1, window.Seconds, colours.Window, 2, null);
        if (window.IsVertical)
            stroke.YRef = "paper";
        else
            stroke.XRef = "paper";
        return stroke;
    }

    /// <summary>The strokes of machines, state by state. One of no length keeps the place of a state that no machine is in: a
    /// machine that changes its state moves strokes then, which the browser does by itself, and needs no other drawing.</summary>
    private static IEnumerable<Shape> OfEveryState<T>(ValueList<T> machines, Func<T, MachineState> stateOf, Func<T, MachineState, IEnumerable<Shape>> strokes)
    {
        if (machines.Count == 0)
            yield break;
        foreach (MachineState state in Enum.GetValues<MachineState>())
        {
            T[] within = [.. machines.Where(machine => stateOf(machine) == state)];
            foreach (Shape stroke in within.SelectMany(machine => strokes(machine, state)))
                yield return stroke;
            if (within.Length > 0)
                continue;
            Shape none = strokes(machines[0], state).First();
            (none.X1, none.Y1) = (none.X0, none.Y0);
            yield return none;
        }
    }

    /// <summary>A chosen machine whose point is not on the curve is ruled like any other.</summary>
    private MachineState StateOf(MachinePost post) =>
        post.State == MachineState.Chosen && model.Chosen is not { HasPost: true } ? MachineState.Good : post.State;

    private IEnumerable<Shape> Post(MachinePost post, MachineState state)
    {
        double top = frame.YShifted(model.Y.Low, 14);
        return state switch
        {
            MachineState.Chosen => Pair(post.Cores, model.Y.Low, model.Chosen is { } chosen ? frame.YShifted(chosen.Point.Y, -6) : top),
            MachineState.Out => [Hollow(post.Cores, model.Y.Low, top)],
            _ => [Stroke(post.Cores, model.Y.Low, post.Cores, top, colours.Ink, 3, null)],
        };
    }

    private IEnumerable<Shape> Mark(MachineMark mark, MachineState state)
    {
        int reach = state == MachineState.Chosen ? 9 : 7;
        double bottom = frame.YShifted(mark.Point.Y, -reach), top = frame.YShifted(mark.Point.Y, reach);
        IEnumerable<Shape> strokes = state switch
        {
            MachineState.Chosen => Pair(mark.Point.X, bottom, top),
            MachineState.Out => [Hollow(mark.Point.X, bottom, top)],
            _ => [Stroke(mark.Point.X, bottom, mark.Point.X, top, colours.Ink, 3, null)],
        };
        return strokes.Select(stroke =>
        {
            stroke.Layer = LayerEnum.Above;
            return stroke;
        });
    }

    private IEnumerable<Shape> Pair(double at, double bottom, double top) => s_pair.Select(aside =>
    {
        double x = frame.XShifted(at, aside);
        return Stroke(x, bottom, x, top, colours.Ink, 1.5m, null);
    });

    /// <summary>From an ordinary night's band over the heavy night's sign to the window: what is left on each.</summary>
    private Shape ToHeavyNight(MachineMark mark)
    {
        double from = frame.XShifted(mark.Whiskers?.High ?? mark.Point.X, 4);
        double to = Math.Max(mark.Heavy!.Value, model.Window is { IsVertical: true } window ? window.Seconds : 0);
        return Stroke(from, mark.Point.Y, to, mark.Point.Y, colours.Quiet, 1, null);
    }

    /// <summary>The whole strip, and over it what is not work.</summary>
    private IEnumerable<Shape> Strip(ShareStrip shares)
    {
        yield return Filled([new(model.X.Low, 1), new(model.X.High, 1)], colours.Tint);
        yield return Filled(shares.Work.Select(point => point with { Y = 1 - point.Y }), colours.Ink);

        Shape Filled(IEnumerable<ChartPoint> tops, string colour)
        {
            ChartPoint[] along = [.. tops];
            var path = new StringBuilder();
            void Corner(char to, double x, double y) =>
                path.Append(CultureInfo.InvariantCulture, $"{to}{PlotlyNumbers.Rounded(x)},{PlotlyNumbers.Rounded(y * frame.StripTop)}");
            Corner('M', along[0].X, 0);
            foreach (ChartPoint top in along)
                Corner('L', top.X, top.Y);
            Corner('L', along[^1].X, 0);
            return new Shape
            {
                Type = TypeEnum.Path,
                Layer = LayerEnum.Between,
                XRef = "x",
                YRef = "paper",
                Path = path.Append('Z').ToString(),
                FillColor = colour,
                Line = new() { Width = 0 },
            };
        }
    }

    private IEnumerable<Shape> StripEdges(ShareStrip shares)
    {
        foreach (double y in (double[])[0, frame.StripTop])
        {
            Shape edge = Stroke(model.X.Low, y, model.X.High, y, colours.Ink, 1, null);
            edge.YRef = "paper";
            yield return edge;
        }

        if (shares.BindsFrom is { } from)
        {
            double beyond = 6 * frame.StripTop / frame.Strip;
            Shape tick = Stroke(from, -beyond, from, frame.StripTop + beyond, colours.Ink, 1, null, LayerEnum.Above);
            tick.YRef = "paper";
            yield return tick;
        }
    }

    /// <summary>A narrow box around a place on the X axis.</summary>
    private Shape Hollow(double x, double bottom, double top)
    {
        Shape box = Stroke(frame.XShifted(x, -2), bottom, frame.XShifted(x, 2), top, colours.Ink, 1.25m, null);
        box.Type = TypeEnum.Rect;
        box.FillColor = colours.Sheet;
        return box;
    }

    private static Shape Stroke(double x0, double y0, double x1, double y1, string colour, decimal width, string? dash, LayerEnum layer = LayerEnum.Between) => new()
    {
        Type = TypeEnum.Line,
        Layer = layer,
        XRef = "x",
        YRef = "y",
        X0 = PlotlyNumbers.Rounded(x0),
        Y0 = PlotlyNumbers.Rounded(y0),
        X1 = PlotlyNumbers.Rounded(x1),
        Y1 = PlotlyNumbers.Rounded(y1),
        Line = new() { Color = colour, Width = width, Dash = dash },
    };
}
