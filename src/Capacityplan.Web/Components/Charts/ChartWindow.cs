using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>How charts name the batch window.</summary>
internal static class ChartWindow
{
    /// <summary>The window as a line across a chart in which time runs upwards.</summary>
    public static WindowLine Across(BatchWindow window) => new(window.Seconds, IsVertical: false, Label(window), $"window, {Figures.Time(window.Seconds)}");

    /// <summary>The window as a line up a chart in which time runs to the right.</summary>
    public static WindowLine Upright(BatchWindow window) => new(window.Seconds, IsVertical: true, "window", "window");

    private static string Label(BatchWindow window) => window.StartsAt is { } start
        ? $"window: done by {Figures.Clock(start.Add(TimeSpan.FromSeconds(window.Seconds)))}, {Figures.Time(window.Seconds)}"
        : $"window, {Figures.Time(window.Seconds)}";
}
