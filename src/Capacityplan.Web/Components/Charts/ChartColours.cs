namespace Capacityplan.Web.Components.Charts;

/// <summary>
/// The colours a chart is drawn in: the tokens of the style sheet as values, since a chart's script cannot read them.
/// </summary>
public sealed record ChartColours
{
    public static readonly ChartColours Light = new()
    {
        Sheet = "#FBFCF8",
        Ink = "#14201B",
        Quiet = "#46564E",
        Rule = "#C8D1C8",
        Edge = "#6F7F76",
        Tint = "#E3ECE4",
        Forecast = "#0B62A0",
        Window = "#BE1560",
        BandOpacity = 0.17m,
    };

    public static readonly ChartColours Dark = new()
    {
        Sheet = "#141D19",
        Ink = "#E9EFE9",
        Quiet = "#A9B8AF",
        Rule = "#303D36",
        Edge = "#80928A",
        Tint = "#22312A",
        Forecast = "#6CC0F5",
        Window = "#FF6F9E",
        BandOpacity = 0.24m,
    };

    /// <summary>The light set on white paper.</summary>
    public static readonly ChartColours Print = Light with { Sheet = "#FFFFFF" };

    public required string Sheet { get; init; }

    public required string Ink { get; init; }

    public required string Quiet { get; init; }

    public required string Rule { get; init; }

    public required string Edge { get; init; }

    public required string Tint { get; init; }

    public required string Forecast { get; init; }

    public required string Window { get; init; }

    public required decimal BandOpacity { get; init; }

    public static ChartColours For(bool isDark) => isDark ? Dark : Light;

    /// <summary>The forecast's colour at the opacity of a band.</summary>
    public string BandFill => string.Create(
        System.Globalization.CultureInfo.InvariantCulture,
        $"rgba({Channel(1)},{Channel(3)},{Channel(5)},{BandOpacity})");

    /// <summary>The colour of a use of time; idle time shows the sheet.</summary>
    public string Of(TimeUse use) => use switch
    {
        TimeUse.Work => Tint,
        TimeUse.Serial or TimeUse.SecondKind => Ink,
        TimeUse.Overhead or TimeUse.Running or TimeUse.FirstKind => Edge,
        TimeUse.Stealing or TimeUse.OwnJob => Forecast,
        TimeUse.OtherJob => BandFill,
        TimeUse.Mixed => Rule,
        TimeUse.ThirdKind or TimeUse.FourthKind or TimeUse.FifthKind or TimeUse.OtherKind => Tint,
        _ => "rgba(0,0,0,0)",
    };

    /// <summary>The same as style sheet variables, for what the page itself writes over a chart.</summary>
    public string AsStyle => $"--sheet:{Sheet};--ink:{Ink};--ink2:{Quiet};--rule:{Rule};--edge:{Edge};--forecast:{Forecast};--window:{Window}";

    private int Channel(int start) => Convert.ToInt32(Forecast.Substring(start, 2), 16);
}
