using System.Globalization;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>Where an axis has its ticks, and what stands at them.</summary>
internal static class AxisTicks
{
    private const double Minute = 60;
    private const double Hour = 3600;
    private const double Day = 86400;

    /// <summary>More ticks than this crowd an axis.</summary>
    private const int MostTimeTicks = 9;

    // Each set steps by about the same factor all the way, through the times people name.
    private static readonly double[][] s_timeSets =
    [
        [1, 2, 5, 10, 20, 40, Minute, 2 * Minute, 5 * Minute, 10 * Minute, 20 * Minute, 40 * Minute,
            Hour, 2 * Hour, 4 * Hour, 8 * Hour, 16 * Hour, 1.5 * Day, 3 * Day, 6 * Day, 12 * Day, 24 * Day, 50 * Day, 100 * Day],
        [1, 5, 20, Minute, 5 * Minute, 20 * Minute, Hour, 4 * Hour, 12 * Hour, 2 * Day, 8 * Day, 30 * Day, 120 * Day],
        [1, 10, Minute, 10 * Minute, Hour, 8 * Hour, 3 * Day, 30 * Day, 300 * Day],
        [1, Minute, Hour, Day, 100 * Day],
    ];

    private static readonly double[][] s_decimalSets = [[1, 1.5, 2, 3, 4, 5, 7], [1, 2, 5], [1]];

    /// <summary>Powers of two from the first at or above <paramref name="low"/>.</summary>
    public static ValueList<ChartTick> PowersOfTwo(double low, double high)
    {
        var ticks = new List<ChartTick>();
        for (double value = 1; value <= high * (1 + 1e-9); value *= 2)
        {
            if (value >= low * (1 - 1e-9))
                ticks.Add(new(value, Figures.Count(value)));
        }

        // Every other one where they crowd; the first stays.
        return ticks.Count <= 9 ? ticks.ToValueList() : ticks.Where((_, index) => index % 2 == 0).ToValueList();
    }

    /// <summary>Times people name, for a logarithmic axis from <paramref name="low"/> to <paramref name="high"/> seconds.</summary>
    public static ValueList<ChartTick> Times(double low, double high)
    {
        foreach (double[] set in s_timeSets)
        {
            // Below a second times are decimal: 1, 2, 5 or 1 of each decade, as the set is fine or coarse.
            IEnumerable<double> below = high < 1 || low < 1 ? Decades(set == s_timeSets[0] ? [1, 2, 5] : [1], low, Math.Min(high, 0.99)) : [];
            double[] within = [.. below, .. set.Where(time => time >= low && time <= high)];
            if (within.Length <= MostTimeTicks && within.Length >= 3)
                return within.Select(time => new ChartTick(time, TimeLabel(time))).ToValueList();
        }

        return EvenTimes(low, high, out _, withUnit: true);
    }

    /// <summary>Evenly spaced times for an axis whose title names the unit.</summary>
    /// <param name="low">Low end, seconds.</param>
    /// <param name="high">High end, seconds.</param>
    /// <param name="unit">The unit's name in the plural.</param>
    /// <param name="withUnit">True where each label carries the unit.</param>
    public static ValueList<ChartTick> EvenTimes(double low, double high, out string unit, bool withUnit = false)
    {
        (double size, unit, string sign) = TimeUnit(high);
        string suffix = withUnit ? Figures.NoBreakSpace + sign : "";
        double unitSize = size;
        return Even(low / size, high / size)
            .Select(value => new ChartTick(value * unitSize, Number(value) + suffix))
            .ToValueList();
    }

    /// <summary>Seconds of the unit that an axis up to so many seconds is labelled in.</summary>
    public static double SizeOf(double high) => TimeUnit(high).Size;

    /// <summary>A time on a logarithmic axis whose title names the unit.</summary>
    public static ValueList<ChartTick> TimesIn(double low, double high, out string unit)
    {
        (double size, unit, _) = TimeUnit(high);
        double unitSize = size;
        return Fitting(low / size, high / size, 8).Select(value => new ChartTick(value * unitSize, Number(value))).ToValueList();
    }

    /// <summary>A tick of an axis whose title names the unit.</summary>
    /// <param name="seconds">Where it stands, seconds.</param>
    /// <param name="high">The axis's high end, which settles the unit, seconds.</param>
    /// <param name="isWindow">True for the window's tick.</param>
    public static ChartTick InUnit(double seconds, double high, bool isWindow) =>
        new(seconds, (seconds / TimeUnit(high).Size).ToString("#,0.#", CultureInfo.InvariantCulture), isWindow);

    /// <summary>Amounts of money on a logarithmic axis.</summary>
    public static ValueList<ChartTick> Money(double low, double high, string currency) =>
        Fitting(low, high, 6).Select(value => new ChartTick(value, MoneyLabel(value, currency))).ToValueList();

    /// <summary>Numbers on a logarithmic axis.</summary>
    public static ValueList<ChartTick> Counts(double low, double high) =>
        Fitting(low, high, 6).Select(value => new ChartTick(value, Number(value))).ToValueList();

    /// <summary>Amounts of money evenly spaced.</summary>
    public static ValueList<ChartTick> EvenMoney(double low, double high, string currency) =>
        Even(low, high).Select(value => new ChartTick(value, MoneyLabel(value, currency))).ToValueList();

    /// <summary>Evenly spaced numbers from 0.</summary>
    /// <param name="high">High end; above 0.</param>
    /// <param name="leastStep">They are no closer than this.</param>
    public static ValueList<ChartTick> FromZero(double high, double leastStep = 0)
    {
        double step = Math.Max(leastStep, RoundStep(high / 6));
        return Enumerable.Range(0, (int)(high / step) + 1).Select(index => new ChartTick(index * step, Number(index * step))).ToValueList();
    }

    /// <summary>The window's tick put among the others, which give way to it.</summary>
    /// <param name="ticks">The others.</param>
    /// <param name="axis">Their axis, for distances.</param>
    /// <param name="window">The window's tick.</param>
    /// <param name="clearance">How far others must keep away, as a share of the axis.</param>
    public static ValueList<ChartTick> With(ValueList<ChartTick> ticks, ChartAxis axis, ChartTick window, double clearance) =>
        ticks.Where(tick => Math.Abs(axis.Position(tick.Value) - axis.Position(window.Value)) > clearance)
            .Append(window)
            .OrderBy(tick => tick.Value)
            .ToValueList();

    /// <summary>A round time as it is named: "20 s", "1 min", "4 h", "3 days".</summary>
    public static string TimeLabel(double seconds)
    {
        foreach ((double size, string sign) in (ReadOnlySpan<(double, string)>)[(Day, "days"), (Hour, "h"), (Minute, "min")])
        {
            double value = seconds / size;
            if (value >= (sign == "days" ? 1.5 : 1) && Math.Abs(value * 2 - Math.Round(value * 2)) < 1e-9)
                return Number(value) + Figures.NoBreakSpace + sign;
        }

        return Figures.Time(seconds) is var written && seconds is >= 1 and < 90
            ? Number(seconds) + Figures.NoBreakSpace + "s"
            : written.Replace(".0", "", StringComparison.Ordinal);
    }

    private static string MoneyLabel(double value, string currency) =>
        Figures.MoneyOfRun((decimal)value, currency) is var written && written.EndsWith(".00", StringComparison.Ordinal)
            ? written[..^3]
            : written;

    private static (double Size, string Name, string Sign) TimeUnit(double high) => high switch
    {
        < 1e-3 => (1e-6, "microseconds", "µs"),
        < 1 => (1e-3, "milliseconds", "ms"),
        < 180 => (1, "seconds", "s"),
        < 3 * Hour => (Minute, "minutes", "min"),
        < 4 * Day => (Hour, "hours", "h"),
        _ => (Day, "days", "days"),
    };

    private static IEnumerable<double> Fitting(double low, double high, int most)
    {
        foreach (double[] set in s_decimalSets)
        {
            double[] within = [.. Decades(set, low, high)];
            if (within.Length <= most && within.Length >= 2)
                return within;
        }

        return high > 3 * low ? Decades([1], low, high) : Even(low, high);
    }

    private static IEnumerable<double> Decades(double[] digits, double low, double high)
    {
        for (int power = (int)Math.Floor(Math.Log10(low)); Math.Pow(10, power) <= high; power++)
        {
            foreach (double digit in digits)
            {
                double value = digit * Math.Pow(10, power);
                if (value >= low * (1 - 1e-9) && value <= high * (1 + 1e-9))
                    yield return value;
            }
        }
    }

    private static IEnumerable<double> Even(double low, double high)
    {
        double step = RoundStep((high - low) / 8);
        for (double index = Math.Ceiling(low / step - 1e-9); index * step <= high * (1 + 1e-9); index++)
        {
            // Adding 0 takes the sign off a negative one.
            yield return index * step + 0.0;
        }
    }

    /// <summary>The first of 1, 2 and 5 of a decade that is not below a rough step.</summary>
    private static double RoundStep(double rough)
    {
        double power = Math.Pow(10, Math.Floor(Math.Log10(rough)));
        return power * (rough / power) switch { <= 1 => 1, <= 2 => 2, <= 5 => 5, _ => 10 };
    }

    private static string Number(double value) => value.ToString("#,0.######", CultureInfo.InvariantCulture);
}
