namespace Capacityplan.Web.Components.Charts;

/// <summary>Where a chart's parts lie in pixels, at the width it is drawn at.</summary>
internal sealed record ChartFrame
{
    /// <summary>Below this width labels are abbreviated and stand inside the plot.</summary>
    public const int NarrowBelow = 480;

    /// <summary>Size of a chart's text, pixels; it is never scaled.</summary>
    public const int TextSize = 12;

    /// <summary>Distance of two lines of it.</summary>
    public const int LineHeight = 15;

    private const int StripHeight = 60;
    private const int TickRow = 18;
    private const int NameRow = 17;
    private const int TitleRow = 18;

    private ChartFrame(ChartModel model, int width)
    {
        Width = width;
        Height = model.Height;
        IsNarrow = width < NarrowBelow;
        bool hasEndLabels = model.Lines.Any(line => line.Label is not null);
        int longestTick = model.Y.Ticks.Select(tick => tick.Label.Length).DefaultIfEmpty(0).Max();
        Left = Math.Max(34, (int)Math.Ceiling(TextWidth(longestTick) + 14));
        if (model.Shares is not null || (IsNarrow && model.Posts.Count > 0))
            Left = Math.Max(Left, 44);
        Right = IsNarrow ? 14 : hasEndLabels ? 60 : 20;
        Top = 30;
        Names = model.Posts.Count > 0 ? NameRow : 0;
        int under = TickRow + Names + (model.X.Title.Length > 0 ? TitleRow : 0);
        Strip = model.Shares is null ? 0 : StripHeight;
        Gap = model.Shares is null ? 0 : under + 14;
        Bottom = model.Shares is null ? under + 4 : TickRow + 4;
        XPositions = model.X;
        YPositions = model.Y;
    }

    public int Width { get; }

    public int Height { get; }

    public bool IsNarrow { get; }

    public int Left { get; }

    public int Right { get; }

    public int Top { get; }

    public int Bottom { get; }

    /// <summary>Height of the row of machine names under the axis.</summary>
    public int Names { get; }

    /// <summary>Height of the strip of shares, and of what lies between it and the plot.</summary>
    public int Strip { get; }

    public int Gap { get; }

    public int PlotWidth => Width - Left - Right;

    /// <summary>Height of the plot above its axis.</summary>
    public int PlotHeight => Height - Top - Bottom - Strip - Gap;

    /// <summary>The axis as a share of the height between the margins, from below.</summary>
    public double AxisAt => (double)(Strip + Gap) / (Height - Top - Bottom);

    /// <summary>The strip's upper edge, likewise.</summary>
    public double StripTop => (double)Strip / (Height - Top - Bottom);

    /// <summary>Pixels below the axis at which the axis title's text stands.</summary>
    public int TitleBelowAxis => TickRow + Names + 2;

    private ChartAxis XPositions { get; }

    private ChartAxis YPositions { get; }

    public static ChartFrame Of(ChartModel model, int width) => new(model, width);

    /// <summary>Pixels from the chart's left edge.</summary>
    public double X(double value) => Left + XPositions.Position(value) * PlotWidth;

    /// <summary>Pixels from the chart's upper edge.</summary>
    public double Y(double value) => Top + (1 - YPositions.Position(value)) * PlotHeight;

    public double AxisY => Top + PlotHeight;

    /// <summary>The value so many pixels above another.</summary>
    public double YShifted(double value, double pixelsUp) => YPositions.At(YPositions.Position(value) + pixelsUp / PlotHeight);

    /// <summary>The value so many pixels right of another.</summary>
    public double XShifted(double value, double pixelsRight) => XPositions.At(XPositions.Position(value) + pixelsRight / PlotWidth);

    /// <summary>About how wide a text is: the face's figures and letters average this at 12 px, whatever their weight.</summary>
    public static double TextWidth(int characters) => 6.2 * characters;
}

/// <summary>A rectangle of a chart, pixels from its upper left corner.</summary>
internal readonly record struct Box(double Left, double Top, double Right, double Bottom)
{
    public bool Overlaps(Box other) => Left < other.Right && other.Left < Right && Top < other.Bottom && other.Top < Bottom;

    /// <summary>Area in common, square pixels.</summary>
    public double Shared(Box other) => Overlaps(other)
        ? (Math.Min(Right, other.Right) - Math.Max(Left, other.Left)) * (Math.Min(Bottom, other.Bottom) - Math.Max(Top, other.Top))
        : 0;

    /// <summary>A line of text at a place.</summary>
    /// <param name="x">The place, pixels.</param>
    /// <param name="y">Middle of the line, pixels.</param>
    /// <param name="text">The text.</param>
    /// <param name="side">-1 where it ends at the place, 0 where it is centred on it, 1 where it starts there.</param>
    public static Box OfText(double x, double y, string text, int side)
    {
        double width = ChartFrame.TextWidth(text.Length);
        double left = side switch { < 0 => x - width, 0 => x - width / 2, _ => x };
        return new(left, y - 7, left + width, y + 7);
    }
}
