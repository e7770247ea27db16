using Plotly.Blazor;
using Plotly.Blazor.Traces;
using Plotly.Blazor.Traces.ScatterLib;
using Plotly.Blazor.Traces.ScatterLib.FillPatternLib;
using Plotly.Blazor.Traces.ScatterLib.MarkerLib;

namespace Capacityplan.Web.Components.Charts;

/// <summary>Lines, bands, discs and readouts of a chart as traces, in the order they lie on one another.</summary>
internal sealed class PlotlyTraces(ChartModel model, ChartFrame frame, ChartColours colours)
{
    /// <summary>The style sheet leaves this trace dark while a chart is being redrawn.</summary>
    public const string MeasuredId = "measured";

    private const string Clear = "rgba(0,0,0,0)";

    /// <summary>Pixels of hatching beside a bound and beside the window.</summary>
    private const double BoundHatch = 8;
    private const double WindowHatch = 6;

    public IList<ITrace> All()
    {
        var traces = new List<ITrace>();
        traces.AddRange(model.Areas.Select(Stacked));
        if (model.Stretches.Count > 0)
            traces.AddRange(Rows());
        if (model.Zone is { } zone)
            traces.Add(Zone(zone));
        if (model.Columns.Count > 0)
            traces.Add(Columns());
        if (model.Band.Count > 0)
            traces.Add(Band());
        if (model.Window is { } window)
            traces.Add(WindowHatching(window));
        traces.AddRange(Hatchings());
        if (model.Marks.Any(mark => mark.Whiskers is not null))
            traces.Add(Whiskers());
        traces.AddRange(Lines());
        if (model.Quantiles.Count > 0)
            traces.Add(Quantiles());
        if (model.Measured.Count > 0)
            traces.Add(Measured());
        if (model.Chosen is { } chosen)
            traces.Add(Ring([chosen.Point], SymbolEnum.Circle, 10, 1.5m));
        if (model.Marks.Any(mark => mark.Heavy is not null))
            traces.Add(Ring(model.Marks.Where(mark => mark.Heavy is not null).Select(mark => new ChartPoint(mark.Heavy!.Value, mark.Point.Y)), SymbolEnum.Diamond, 9, 1.75m));
        if (model.Readouts.Count > 0)
            traces.Add(Readouts());
        return traces;
    }

    private static Scatter Silent(IEnumerable<double> x, IEnumerable<double> y) => new()
    {
        X = PlotlyNumbers.Of(x),
        Y = PlotlyNumbers.Of(y),
        Mode = ModeFlag.Lines,
        HoverInfo = HoverInfoFlag.Skip,
    };

    /// <summary>An area bounded by a line there and another back.</summary>
    private static Scatter Area(IReadOnlyList<ChartPoint> there, IReadOnlyList<ChartPoint> back) => Area(Around(there, back));

    private static ChartPoint[] Around(IReadOnlyList<ChartPoint> there, IReadOnlyList<ChartPoint> back) => [.. there, .. back.Reverse()];

    /// <summary>Pieces with a gap between any two.</summary>
    private static ChartPoint[] Together(IEnumerable<IEnumerable<ChartPoint>> pieces) =>
        [.. pieces.SelectMany((piece, index) => index == 0 ? piece : piece.Prepend(new ChartPoint(double.NaN, double.NaN)))];

    private static Scatter Area(IReadOnlyList<ChartPoint> around)
    {
        Scatter area = Silent(around.Select(point => point.X), around.Select(point => point.Y));
        area.Fill = FillEnum.ToSelf;
        area.Line = Unseen();
        area.HoverOn = HoverOnFlag.Points;
        return area;
    }

    /// <summary>An area's edge. There are few enough points that looking for ones to leave out takes longer than drawing them.</summary>
    private static Plotly.Blazor.Traces.ScatterLib.Line Unseen() => new() { Width = 0, Simplify = false };

    private Scatter Band()
    {
        Scatter band = Area(
            [.. model.Band.Select(point => new ChartPoint(point.X, point.Low))],
            [.. model.Band.Select(point => new ChartPoint(point.X, point.High))]);
        band.FillColor = colours.BandFill;
        return band;
    }

    private Scatter Stacked(TimeArea area)
    {
        Scatter stacked = Area(
            [.. area.Points.Select(point => new ChartPoint(point.X, point.Low))],
            [.. area.Points.Select(point => new ChartPoint(point.X, point.High))]);
        stacked.FillColor = colours.Of(area.Use);
        if (area.Use == TimeUse.Idle)
            stacked.FillPattern = Strokes(ShapeEnum.Slash, colours.Edge, 0.9m);
        return stacked;
    }

    /// <summary>Bars along the rows, one set for each use of time.</summary>
    private IEnumerable<ITrace> Rows()
    {
        foreach (IGrouping<TimeUse, RowStretch> use in model.Stretches.GroupBy(stretch => stretch.Use).OrderBy(use => use.Key))
        {
            yield return new Bar
            {
                Orientation = Plotly.Blazor.Traces.BarLib.OrientationEnum.H,
                BaseArray = PlotlyNumbers.Of(use.Select(stretch => stretch.From), 9),
                X = PlotlyNumbers.Of(use.Select(stretch => stretch.To - stretch.From), 9),
                Y = [.. use.Select(object (stretch) => stretch.Row)],
                Width = 0.84m,
                HoverInfo = Plotly.Blazor.Traces.BarLib.HoverInfoFlag.Text,
                HoverTextArray = [.. use.Select(stretch => PlotlyText.Encoded(stretch.Text))],
                Marker = new() { Color = colours.Of(use.Key), Line = EdgeOf(use.Key), Pattern = PatternOf(use.Key) },
            };
        }
    }

    private Plotly.Blazor.Traces.BarLib.MarkerLib.Line EdgeOf(TimeUse use) => use is TimeUse.OwnJob or TimeUse.OtherJob
        ? new() { Color = colours.Forecast, Width = 1.25m }
        : new() { Color = colours.Sheet, Width = use >= TimeUse.FirstKind ? 0.5m : 0 };

    /// <summary>Kinds of tasks past the second are told apart by what is drawn on the tint.</summary>
    private Plotly.Blazor.Traces.BarLib.MarkerLib.Pattern? PatternOf(TimeUse use)
    {
        Plotly.Blazor.Traces.BarLib.MarkerLib.PatternLib.ShapeEnum? shape = use switch
        {
            TimeUse.ThirdKind => Plotly.Blazor.Traces.BarLib.MarkerLib.PatternLib.ShapeEnum.Slash,
            TimeUse.FourthKind => Plotly.Blazor.Traces.BarLib.MarkerLib.PatternLib.ShapeEnum.Dot,
            TimeUse.FifthKind => Plotly.Blazor.Traces.BarLib.MarkerLib.PatternLib.ShapeEnum.X,
            TimeUse.OtherKind => Plotly.Blazor.Traces.BarLib.MarkerLib.PatternLib.ShapeEnum.Backslash,
            _ => null,
        };
        return shape is null ? null : new()
        {
            Shape = shape,
            BgColor = colours.Tint,
            FgColor = colours.Ink,
            Size = 6,
            Solidity = 0.3m,
        };
    }

    private Scatter Zone(ChartZone zone)
    {
        Scatter area = Area([new(zone.From, model.Y.Low), new(zone.To, model.Y.Low)], [new(zone.From, model.Y.High), new(zone.To, model.Y.High)]);
        area.FillColor = colours.Tint;
        return area;
    }

    /// <summary>One outline around all columns: they touch.</summary>
    private Scatter Columns()
    {
        ChartPoint[] tops = [.. model.Columns.SelectMany(column => (ChartPoint[])[new(column.From, column.Height), new(column.To, column.Height)])];
        Scatter columns = Area(tops, [.. tops.Select(point => point with { Y = 0 })]);
        columns.FillColor = colours.BandFill;
        columns.Line = new() { Color = colours.Forecast, Width = 1m, Simplify = false };
        return columns;
    }

    private Scatter WindowHatching(WindowLine window)
    {
        double late = window.IsVertical ? frame.XShifted(window.Seconds, WindowHatch) : frame.YShifted(window.Seconds, WindowHatch);
        ChartPoint[] line, beyond;
        if (window.IsVertical)
        {
            line = [new(window.Seconds, model.Y.Low), new(window.Seconds, model.Y.High)];
            beyond = [new(late, model.Y.Low), new(late, model.Y.High)];
        }
        else
        {
            line = [new(model.X.Low, window.Seconds), new(model.X.High, window.Seconds)];
            beyond = [new(model.X.Low, late), new(model.X.High, late)];
        }

        Scatter hatching = Area(line, beyond);
        hatching.FillColor = Clear;
        hatching.FillPattern = Strokes(ShapeEnum.Slash, colours.Window, 0.55m);
        return hatching;
    }

    /// <summary>Hatching beside the bounds: one trace for each way its strokes run, since it is their number that takes time to draw.</summary>
    private IEnumerable<Scatter> Hatchings() => model.Lines
        .Where(line => line.Impossible != ImpossibleSide.None)
        .Select(line => (Line: line, Bound: (ChartPoint[])[.. line.Points.Where(point => point.X >= line.HatchedFrom)]))
        .Where(one => one.Bound.Length > 1)
        // Strokes stand across their line, which falls on one chart and rises on the other.
        .GroupBy(one => one.Bound[^1].Y < one.Bound[0].Y ? ShapeEnum.Slash : ShapeEnum.Backslash)
        .Select(alike =>
        {
            Scatter hatching = Area(Together(alike.Select(one => Around(one.Bound, [.. one.Bound.Select(point => point with
            {
                Y = frame.YShifted(point.Y, one.Line.Impossible == ImpossibleSide.Above ? BoundHatch : -BoundHatch),
            })]))));
            hatching.FillColor = Clear;
            hatching.FillPattern = Strokes(alike.Key, colours.Edge, 0.9m);
            return hatching;
        });

    private static FillPattern Strokes(ShapeEnum shape, string colour, decimal opacity) => new()
    {
        Shape = shape,
        FgColor = colour,
        FgOpacity = opacity,
        BgColor = Clear,
        Size = 8,
        Solidity = 0.14m,
        FillMode = FillModeEnum.Replace,
    };

    /// <summary>Lines that look alike are one trace.</summary>
    private IEnumerable<Scatter> Lines() => model.Lines.GroupBy(line => Stroke(line.Role)).Select(alike =>
    {
        ChartPoint[] points = Together(alike.Select(IEnumerable<ChartPoint> (line) => line.Points));
        Scatter trace = Silent(points.Select(point => point.X), points.Select(point => point.Y));
        trace.ConnectGaps = false;
        trace.Line = new() { Color = alike.Key.Colour, Width = alike.Key.Width, Dash = alike.Key.Dash, Simplify = false };
        return trace;
    });

    private (string Colour, decimal Width, string Dash) Stroke(LineRole role) =>
        role switch
        {
            LineRole.Median => (colours.Forecast, 2.5m, "solid"),
            LineRole.MedianBeyond => (colours.Forecast, 2.5m, "9px,3px"),
            LineRole.Floor or LineRole.Ceiling => (colours.Edge, 1.25m, "solid"),
            LineRole.Perfect => (colours.Ink, 1m, "1px,4px"),
            LineRole.Amdahl => (colours.Quiet, 1.25m, "8px,3px,1px,3px"),
            LineRole.Gustafson => (colours.Quiet, 1.25m, "8px,3px,1px,3px,1px,3px"),
            LineRole.Frontier => (colours.Ink, 1.5m, "solid"),
            LineRole.Family => (colours.Edge, 1.25m, "solid"),
            LineRole.ClosedForm => (colours.Quiet, 1.25m, "2px,3px"),
            _ => throw new ArgumentOutOfRangeException(nameof(role), role, "An unknown line."),
        };

    private Scatter Whiskers()
    {
        MachineMark[] marks = [.. model.Marks.Where(mark => mark.Whiskers is not null)];
        // Not a number between two whiskers becomes a gap.
        Scatter whiskers = Silent(
            marks.SelectMany(mark => (double[])[mark.Whiskers!.Value.Low, mark.Whiskers.Value.High, double.NaN]),
            marks.SelectMany(mark => (double[])[mark.Point.Y, mark.Point.Y, double.NaN]));
        whiskers.Line = new() { Color = colours.Forecast, Width = 1.25m, Simplify = false };
        whiskers.Opacity = 0.75m;
        whiskers.ConnectGaps = false;
        return whiskers;
    }

    private Scatter Measured()
    {
        Scatter discs = Silent(model.Measured.Select(point => point.X), model.Measured.Select(point => point.Y));
        discs.UId = MeasuredId;
        discs.Mode = ModeFlag.Markers;
        discs.ClipOnAxis = false;
        discs.Marker = new() { Color = colours.Ink, Size = 8.5m, Opacity = 1, Line = new() { Color = colours.Sheet, Width = 1.25m } };
        return discs;
    }

    private Scatter Quantiles()
    {
        Scatter discs = Silent(model.Quantiles.Select(point => point.X), model.Quantiles.Select(point => point.Y));
        discs.Mode = ModeFlag.Markers;
        discs.Marker = new() { Color = colours.Forecast, Size = 4, Opacity = 1 };
        return discs;
    }

    private Scatter Ring(IEnumerable<ChartPoint> points, SymbolEnum symbol, decimal size, decimal stroke)
    {
        ChartPoint[] at = [.. points];
        Scatter ring = Silent(at.Select(point => point.X), at.Select(point => point.Y));
        ring.Mode = ModeFlag.Markers;
        ring.ClipOnAxis = false;
        ring.Marker = new() { Symbol = symbol, Color = colours.Sheet, Size = size, Opacity = 1, Line = new() { Color = colours.Ink, Width = stroke } };
        return ring;
    }

    private Scatter Readouts()
    {
        int characters = Math.Max(20, (int)(0.62 * frame.Width / ChartFrame.TextWidth(1)));
        Scatter readouts = Silent(model.Readouts.Select(readout => readout.X), model.Readouts.Select(readout => readout.Y));
        readouts.Mode = ModeFlag.Markers;
        readouts.Marker = new() { Opacity = 0, Size = 14, Color = colours.Ink };
        readouts.HoverInfo = HoverInfoFlag.Text;
        readouts.HoverTextArray = [.. model.Readouts.Select(readout => PlotlyText.Wrapped(readout.Text, characters))];
        return readouts;
    }
}
