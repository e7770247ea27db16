namespace Capacityplan.Web.Components.Charts;

/// <summary>A text of a chart.</summary>
/// <param name="X">Where it starts, is centred or ends, pixels from the chart's left edge.</param>
/// <param name="Y">Middle of its line, pixels from the chart's upper edge.</param>
/// <param name="Text">The text.</param>
/// <param name="Side">-1 where it ends at X, 0 where it is centred on it, 1 where it starts there.</param>
/// <param name="Style">Its style classes.</param>
public sealed record PlacedText(double X, double Y, string Text, int Side, string Style);

/// <summary>The thin line from a label to its point, pixels.</summary>
public sealed record LabelLeader(double FromX, double FromY, double ToX, double ToY);

/// <summary>Texts of a chart, placed so that none lies on another.</summary>
internal sealed class ChartLabels(ChartModel model, ChartFrame frame)
{
    private readonly List<PlacedText> _texts = [];
    private readonly List<Box> _taken = [];

    // Lines are crossed by texts that have no other place, never by choice.
    private readonly List<Box> _lines = [];

    private LabelLeader? _leader;

    private enum Weight
    {
        Quiet,
        Key,
        Bold,
        Forecast,
        Window,
    }

    public (ValueList<PlacedText> Texts, LabelLeader? Leader) All()
    {
        Ticks();
        AxisTitles();
        if (model.Message is { } message)
            Message(message);
        foreach (ChartLine line in model.Lines.Where(line => line.Role is not LineRole.Perfect))
            Keep(line, _lines);
        if (model.Window is { } window)
            Window(window);
        if (model.MeasuredEnd is { Label.Length: > 0 } end)
            MeasuredEnd(end);
        if (model.Zone is { } zone)
            Zone(zone);
        Uprights();
        foreach (ChartNote note in model.Notes)
            Note(note);
        if (model.Chosen is { } chosen)
            Chosen(chosen);
        LineEnds();
        Posts();
        if (model.Marks.Count > 0)
            Marks();
        if (model.Shares is { } shares)
            Shares(shares);
        return (_texts.ToValueList(), _leader);
    }

    /// <summary>Beside the plot. An axis that is zoomed is left to the script, which finds its ticks anew.</summary>
    private void Ticks()
    {
        const int BelowAxis = 13, BesideAxis = 6;
        foreach (ChartTick tick in model.ZoomsAlongX ? [] : model.X.Ticks)
            _texts.Add(new(frame.X(tick.Value), frame.AxisY + BelowAxis, tick.Label, 0, tick.IsWindow ? "wn" : ""));
        foreach (ChartTick tick in model.Y.Ticks)
        {
            _texts.Add(new(frame.Left - BesideAxis, frame.Y(tick.Value), tick.Label, -1, tick.IsWindow ? "wn" : ""));
            // A narrow chart has labels that reach beside it.
            _taken.Add(Box.OfText(frame.Left - BesideAxis, frame.Y(tick.Value), tick.Label, -1));
        }
    }

    private void AxisTitles()
    {
        if (model.Y.Title.Length > 0)
            Put(1, frame.Top - 16, model.Y.Title, 1, Weight.Quiet);
        if (model.X.Title.Length > 0)
            Put(frame.Left + frame.PlotWidth / 2.0, frame.AxisY + frame.TitleBelowAxis + 8, Fitted(model.X.Title, frame.PlotWidth), 0, Weight.Quiet);
    }

    private void Zone(ChartZone zone)
    {
        double middle = (frame.X(zone.From) + frame.X(zone.To)) / 2;
        double half = ChartFrame.TextWidth(Math.Max(zone.Label.Length, zone.Detail.Length)) / 2;
        double x = Math.Clamp(middle, frame.Left + half, Math.Max(frame.Left + half, frame.Left + frame.PlotWidth - half));
        Put(x, frame.Top + 10, zone.Label, 0, Weight.Key);
        if (zone.Detail.Length > 0)
            Put(x, frame.Top + 10 + ChartFrame.LineHeight, zone.Detail, 0, Weight.Quiet);
    }

    /// <summary>Labels stand over their strokes, those of the outer ones away from the middle one.</summary>
    private void Uprights()
    {
        foreach (Upright upright in model.Uprights.Where(upright => upright.Label.Length > 0).OrderByDescending(upright => upright.IsKey))
        {
            double width = ChartFrame.TextWidth(upright.Label.Length);
            double x = Math.Clamp(frame.X(upright.X), frame.Left + width / 2, Math.Max(frame.Left + width / 2, frame.Width - width / 2));
            bool crowded = _taken.Exists(box => box.Overlaps(Box.OfText(x, frame.Top - 8, upright.Label, 0)));
            Put(x, frame.Top - 8 + (crowded ? ChartFrame.LineHeight + 4 : 0), upright.Label, 0, upright.IsKey ? Weight.Bold : Weight.Quiet);
        }
    }

    private void Message(ChartMessage message)
    {
        double x = message.KeepsPoints ? frame.Left + frame.PlotWidth : frame.Left + frame.PlotWidth / 2.0;
        double y = message.KeepsPoints ? frame.Top + 10 : frame.Top + frame.PlotHeight * 0.46;
        int side = message.KeepsPoints ? -1 : 0;
        Put(x, y, message.Text, side, Weight.Key);
        Put(x, y + 18, message.Then, side, Weight.Quiet);
    }

    private void Chosen(ChosenPoint chosen)
    {
        double x = frame.X(chosen.Point.X), y = frame.Y(chosen.Point.Y);
        string[] lines = chosen.Detail.Length > 0 ? [chosen.Label, chosen.Detail] : [chosen.Label];
        // Below a falling curve there is room on the left, below a rising one on the right.
        (double Dx, double Dy, int Side)[] places = chosen.HasPost
            ? [(-34, 32, -1), (-34, 52, -1), (30, -34, 1), (40, -56, 1), (-30, -44, -1), (-50, 14, -1), (-40, -72, -1), (-50, -100, -1)]
            : [(10, 26, 1), (-10, 40, -1), (-10, -40, -1), (-10, 70, -1), (-30, -60, -1), (-10, 100, -1)];
        (double dx, double dy, int side) = Best(places, place => Block(x + place.Dx, y + place.Dy, place.Side, lines));
        Put(x + dx, y + dy, chosen.Label, side, Weight.Bold);
        if (chosen.Detail.Length > 0)
            Put(x + dx, y + dy + ChartFrame.LineHeight, chosen.Detail, side, Weight.Quiet);
        if (chosen.HasPost)
            Leader(x, y, dx, dy);
    }

    private static Box Block(double x, double y, int side, string[] lines)
    {
        var first = Box.OfText(x, y, lines.MaxBy(line => line.Length)!, side);
        return first with { Bottom = first.Bottom + (lines.Length - 1) * ChartFrame.LineHeight };
    }

    /// <summary>The first place that is clear, else the one least covered.</summary>
    private T Best<T>(T[] places, Func<T, Box> boxOf)
    {
        return places.MinBy(place =>
        {
            Box box = boxOf(place);
            double outside = Math.Max(0, -box.Left) + Math.Max(0, box.Right - frame.Width) + Math.Max(0, box.Bottom - frame.AxisY + 16) + Math.Max(0, -box.Top);
            return 1000 * outside + 10 * _taken.Sum(box.Shared) + _lines.Sum(box.Shared);
        })!;
    }

    private void Window(WindowLine window)
    {
        string label = frame.IsNarrow ? window.BriefLabel : window.Label;
        if (window.IsVertical)
        {
            double x = frame.X(window.Seconds);
            bool right = x + 10 + ChartFrame.TextWidth(label.Length) < frame.Width;
            Put(x + (right ? 9 : -9), frame.Top + 6, label, right ? 1 : -1, Weight.Window);
            return;
        }

        // The late side is the upper one; near the top the label goes below the line.
        double y = frame.Y(window.Seconds), above = y - 14, below = y + 12, start = frame.Left + 4, end = frame.Left + frame.PlotWidth;
        (double X, double Y, int Side)[] places = above > frame.Top - 8
            ? [(end, above, -1), (start, above, 1), (end, below, -1), (start, below, 1)]
            : [(end, below, -1), (start, below, 1)];
        (double atX, double atY, int side) = Best(places, place => Box.OfText(place.X, place.Y, label, place.Side));
        Put(atX, atY, label, side, Weight.Window);
    }

    private void MeasuredEnd(MeasuredEnd end)
    {
        double x = frame.X(end.Cores), y = frame.AxisY - 21;
        string label = frame.IsNarrow ? "measured" : end.Label;
        string beyond = end.Beyond.Length == 0 ? "" : frame.IsNarrow ? "forecast" : end.Beyond;
        bool left = x - 7 - ChartFrame.TextWidth(label.Length) > frame.Left;
        double start = x + 8;
        if (model.Chosen is { HasPost: true } chosen && frame.X(chosen.Point.X) is var post && post > x - 4 && post < start + ChartFrame.TextWidth(beyond.Length))
            start = post + 10;
        if (left)
        {
            Put(x - 7, y, label, -1, Weight.Key);
            if (beyond.Length > 0 && start + ChartFrame.TextWidth(beyond.Length) < frame.Width)
                Put(start, y, beyond, 1, Weight.Quiet);
        }
        else
        {
            Put(start, y, label, 1, Weight.Key);
        }
    }

    private void Note(ChartNote note)
    {
        if (note.WideOnly && frame.IsNarrow)
            return;
        double x = frame.X(note.Point.X) + note.Offset.X, y = frame.Y(note.Point.Y) + note.Offset.Y;
        Weight weight = note.Role switch { NoteRole.Key => Weight.Key, NoteRole.Window => Weight.Window, _ => Weight.Quiet };
        if (Box.OfText(x, y, note.Text, note.Side) is { Left: var left } && left < 0)
            return;
        Put(x, y, note.Text, note.Side, weight);
    }

    /// <summary>Lines named where they end: beside the plot, or on a narrow screen just above or below the line.</summary>
    private void LineEnds()
    {
        (ChartLine Line, ChartPoint End, double Y)[] named = [.. model.Lines
            .Where(line => line.Label is not null && line.Points.Count > 0)
            .Select(line => (line, line.Points[^1], frame.Y(line.Points[^1].Y)))
            .OrderBy(line => line.Item3)];
        if (frame.IsNarrow || named.Any(line => line.Line.Role == LineRole.Family))
        {
            bool hasFamily = named.Any(line => line.Line.Role == LineRole.Family);
            foreach ((ChartLine line, ChartPoint end, double y) in named)
            {
                // The key names the median, but not which of a family it is.
                if (line.Role is LineRole.Median or LineRole.MedianBeyond && !hasFamily)
                    continue;
                if (hasFamily)
                    TryPut([(frame.X(end.X) + 8, y, 1), (frame.X(end.X), y - 15, 0), (frame.X(end.X), y + 15, 0)], line.Label!, WeightOf(line.Role));
                else
                    TryPut([.. Along(line)], line.Label!, WeightOf(line.Role));
            }

            return;
        }

        double[] places = [.. named.Select(line => Math.Clamp(line.Y, frame.Top, frame.AxisY - 4))];
        Spread(places, ChartFrame.LineHeight, frame.AxisY - 4);
        for (int index = 0; index < named.Length; index++)
            Put(frame.X(named[index].End.X) + 6, places[index], named[index].Line.Label!, 1, WeightOf(named[index].Line.Role));
    }

    private IEnumerable<(double X, double Y, int Side)> Along(ChartLine line)
    {
        int away = line.Impossible == ImpossibleSide.Below ? 1 : -1;
        foreach (double share in (double[])[1, 0.85, 0.7, 0.55])
        {
            ChartPoint point = line.Points[(int)Math.Round(share * (line.Points.Count - 1))];
            foreach (int direction in (int[])[away, -away])
                yield return (frame.X(point.X), frame.Y(point.Y) + direction * 16, -1);
        }
    }

    /// <summary>Names under the axis: the chosen one first, then as many as have room.</summary>
    private void Posts()
    {
        if (model.Posts.Count == 0)
            return;
        double y = frame.AxisY + 27 + (frame.Names - 10) / 2.0;
        string family = model.Posts[0].Label.Family;
        bool once = frame.IsNarrow && family.Length > 0 && model.Posts.All(post => post.Label.Family == family);
        if (once)
            Put(1, y, family, 1, Weight.Key);
        foreach (MachinePost post in model.Posts.OrderByDescending(post => post.State).ThenBy(post => post.Cores))
        {
            string text = once ? post.Label.Size : post.Label.Name;
            double x = Math.Min(frame.X(post.Cores), frame.Width - ChartFrame.TextWidth(text.Length) / 2);
            TryPut(
                [(x, y, 0)], text,
                post.State switch { MachineState.Chosen => Weight.Bold, MachineState.Good => Weight.Key, _ => Weight.Quiet });
        }
    }

    private void Marks()
    {
        _taken.AddRange(_lines);
        if (model.Window is { IsVertical: true } window)
            _taken.Add(new(frame.X(window.Seconds) - 2, frame.Top, frame.X(window.Seconds) + 8, frame.AxisY));
        foreach (MachineMark mark in model.Marks)
        {
            (double x, double y) = (frame.X(mark.Point.X), frame.Y(mark.Point.Y));
            _taken.Add(new(x - 4, y - 8, x + 4, y + 8));
            if (mark.Heavy is { } heavy)
                _taken.Add(new(frame.X(heavy) - 6, y - 6, frame.X(heavy) + 6, y + 6));
        }

        foreach (MachineMark mark in model.Marks.Where(mark => mark.Named).OrderByDescending(mark => mark.State).ThenBy(mark => mark.Point.Y))
        {
            (double x, double y) = (frame.X(mark.Point.X), frame.Y(mark.Point.Y));
            (double low, double high) = mark.Whiskers is { } ends ? (Math.Min(frame.X(ends.Low), x - 5), Math.Max(frame.X(ends.High), x + 5)) : (x - 5, x + 5);
            string text = mark.Text ?? mark.Label.Name;
            // The frontier falls to the right: below left and above right of a mark on it is clear.
            (double, double, int)[] places = mark.State == MachineState.Chosen
                ? [(x - 10, y - 9, -1), (x - 10, y + 11, -1), (low - 4, y, -1), (x + 10, y + 12, 1), (x + 10, y - 10, 1), (high + 4, y, 1), (x, y - 19, 0), (x, y + 19, 0)]
                : [(x + 9, y - 9, 1), (high + 4, y, 1), (x - 9, y + 11, -1), (low - 4, y, -1), (x - 9, y - 9, -1), (x + 9, y + 11, 1), (x, y - 17, 0), (x, y + 17, 0)];
            Weight weight = mark.State == MachineState.Chosen ? Weight.Bold : mark.OnFrontier ? Weight.Key : Weight.Quiet;
            if (!TryPut(places, text, weight, inPlot: true) && mark.State == MachineState.Chosen)
            {
                // The one name a chart cannot go without.
                (double atX, double atY, int side) = Best(places, place => Box.OfText(place.Item1, place.Item2, text, place.Item3));
                Put(atX, atY, text, side, weight);
            }
        }
    }

    /// <summary>A line as small boxes.</summary>
    private void Keep(ChartLine line, List<Box> boxes)
    {
        const double Step = 8;
        for (int index = 1; index < line.Points.Count; index++)
        {
            (double x0, double y0) = (frame.X(line.Points[index - 1].X), frame.Y(line.Points[index - 1].Y));
            (double x1, double y1) = (frame.X(line.Points[index].X), frame.Y(line.Points[index].Y));
            if (!double.IsFinite(x0 + y0 + x1 + y1))
                continue;
            int steps = Math.Max(1, (int)Math.Ceiling(Math.Max(Math.Abs(x1 - x0), Math.Abs(y1 - y0)) / Step));
            for (int step = 0; step < steps; step++)
            {
                double x = x0 + (x1 - x0) * (step + 0.5) / steps, y = y0 + (y1 - y0) * (step + 0.5) / steps;
                double wide = Math.Abs(x1 - x0) / steps / 2 + 1, tall = Math.Abs(y1 - y0) / steps / 2 + 1;
                boxes.Add(new(x - wide, y - tall, x + wide, y + tall));
            }
        }
    }

    private void Shares(ShareStrip shares)
    {
        double top = frame.AxisY + frame.Gap, bottom = top + frame.Strip;
        Put(frame.Left - 8, top + 9, "share", -1, Weight.Quiet);
        Put(frame.Left - 8, top + 9 + ChartFrame.LineHeight, "of run", -1, Weight.Quiet);
        Put(frame.Left + 8, top + 14, frame.IsNarrow ? "work" : shares.WorkLabel, 1, Weight.Key);
        if (!frame.IsNarrow && shares.Work.Count > 0)
            Put(frame.Left + frame.PlotWidth + 6, Math.Clamp(bottom - (1 - shares.Work[^1].Y) * frame.Strip / 2.0, top + 6, bottom - 6), shares.RestLabel, 1, Weight.Quiet);
        if (shares.BindsFrom is not { } from)
        {
            Put(frame.Left, bottom + 13, shares.UpTo, 1, Weight.Key);
            return;
        }

        double x = frame.X(from);
        double upTo = ChartFrame.TextWidth(shares.UpTo.Length), then = ChartFrame.TextWidth(shares.Then.Length);
        if (x - 6 - upTo > 0)
            Put(x - 6, bottom + 13, shares.UpTo, -1, Weight.Key);
        string rest = x + 6 + then < frame.Width ? shares.Then : shares.Then[..shares.Then.LastIndexOf(' ')];
        if (x + 6 + ChartFrame.TextWidth(rest.Length) < frame.Width)
            Put(x + 6, bottom + 13, rest, 1, Weight.Key);
    }

    private static Weight WeightOf(LineRole role) => role switch
    {
        LineRole.Median or LineRole.MedianBeyond => Weight.Forecast,
        LineRole.Family => Weight.Key,
        _ => Weight.Quiet,
    };

    /// <summary>Pushes places apart, from the top down and back up from the lowest that may be taken.</summary>
    private static void Spread(double[] places, double distance, double lowest)
    {
        for (int index = 1; index < places.Length; index++)
            places[index] = Math.Max(places[index], places[index - 1] + distance);
        for (int index = places.Length - 1; index >= 0; index--)
        {
            double most = index == places.Length - 1 ? lowest : places[index + 1] - distance;
            places[index] = Math.Min(places[index], most);
        }
    }

    private static string Fitted(string text, double width) =>
        ChartFrame.TextWidth(text.Length) <= width || !text.Contains(" (", StringComparison.Ordinal) ? text : text[..text.IndexOf(" (", StringComparison.Ordinal)];

    private bool TryPut((double X, double Y, int Side)[] places, string text, Weight weight, bool inPlot = false)
    {
        (double left, double bottom) = inPlot ? (frame.Left, frame.AxisY - 2) : (0, frame.Height);
        foreach ((double x, double y, int side) in places)
        {
            var box = Box.OfText(x, y, text, side);
            if (box.Left >= left && box.Right <= frame.Width && box.Top >= 0 && box.Bottom <= bottom && !_taken.Any(box.Overlaps))
            {
                Put(x, y, text, side, weight);
                return true;
            }
        }

        return false;
    }

    private void Put(double x, double y, string text, int side, Weight weight)
    {
        if (text.Length == 0)
            return;
        _taken.Add(Box.OfText(x, y, text, side));
        string style = weight switch
        {
            Weight.Key => "k halo",
            Weight.Bold => "b halo",
            Weight.Forecast => "fc halo",
            Weight.Window => "wn halo",
            _ => "halo",
        };
        _texts.Add(new(x, y, text, side, style));
    }

    /// <summary>From a label to the ring around its point.</summary>
    private void Leader(double x, double y, double dx, double dy)
    {
        (double fromX, double fromY) = (dx + Math.Sign(dx) * -3, dy - Math.Sign(dy) * 6);
        double length = Math.Sqrt(fromX * fromX + fromY * fromY), ring = Math.Min(1, 6 / length);
        _leader = new(x + fromX, y + fromY, x + fromX * ring, y + fromY * ring);
    }
}
