using System.Globalization;

namespace Capacityplan.Web.Components.Charts;

/// <summary>An axis of shares in per cent that may run below 0.</summary>
internal static class ShareAxis
{
    private const int MostTicks = 6;

    /// <summary>Makes one.</summary>
    /// <param name="title">Its title, with the unit.</param>
    /// <param name="low">Least share to show; 1 is 100 %.</param>
    /// <param name="high">Largest; above <paramref name="low"/>.</param>
    public static ChartAxis Of(string title, double low, double high)
    {
        double rough = 100 * (high - low) / MostTicks;
        double power = Math.Pow(10, Math.Floor(Math.Log10(rough)));
        double step = power * (rough / power <= 1 ? 1 : rough / power <= 2 ? 2 : rough / power <= 5 ? 5 : 10);
        double from = Math.Floor(100 * low / step) * step, to = Math.Ceiling(100 * high / step) * step;
        return new()
        {
            Title = title,
            Scale = AxisScale.Linear,
            Low = from,
            High = to,
            Ticks = Enumerable.Range(0, (int)Math.Round((to - from) / step) + 1)
                .Select(index => from + index * step)
                .Select(value => new ChartTick(value, (value < 0 ? "−" : "") + Math.Abs(Math.Round(value, 6)).ToString("0.##", CultureInfo.InvariantCulture))).ToValueList(),
        };
    }
}
