using System.Globalization;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// How figures are written wherever the product shows them: no digit finer than the reader can use, no-break spaces
/// before units, a comma for thousands, the invariant culture.
/// </summary>
public static class Figures
{
    /// <summary>Joins a figure to its unit.</summary>
    public const char NoBreakSpace = '\u00A0';

    /// <summary>Stands where a figure is unknown.</summary>
    public const string Unknown = "·";

    private const double Minute = 60;
    private const double Hour = 3600;
    private const double Day = 86400;

    /// <summary>
    /// A time: below 1 s in ms or µs, below 10 s with one decimal, to 90 s in seconds, to 90 min in minutes (below 10 min
    /// with one decimal), then "1 h 45", past 48 h in days.
    /// </summary>
    /// <param name="seconds">Seconds; 0 or more and finite.</param>
    public static string Time(double seconds)
    {
        Require.NotNegative(seconds);
        TimeScale scale = TimeScale.Of(seconds);
        return scale == TimeScale.HoursAndMinutes ? HoursAndMinutes(seconds) : InScale(seconds, scale) + NoBreakSpace + scale.Unit;
    }

    /// <summary>A range of times with the unit once: "38 to 43"; where its ends are written in different units, both units.</summary>
    /// <param name="low">Lower end, seconds.</param>
    /// <param name="high">Upper end, seconds; not below <paramref name="low"/>.</param>
    /// <param name="unitOf">The time whose unit stands beside the range already, seconds; null to end the range with its unit.</param>
    public static string TimeRange(double low, double high, double? unitOf = null)
    {
        TimeScale lowScale = TimeScale.Of(low), highScale = TimeScale.Of(high);
        TimeScale shown = unitOf is { } beside ? TimeScale.Of(beside) : highScale;
        if (shown == TimeScale.HoursAndMinutes || lowScale != shown || highScale != shown)
            return $"{Time(low)} to {Time(high)}";
        string range = $"{InScale(low, shown)} to {InScale(high, shown)}";
        return unitOf is null ? range + NoBreakSpace + shown.Unit : range;
    }

    /// <summary>
    /// A difference of two times, no finer than they are written: in minutes where they are minutes or hours. One that
    /// rounds to nothing is "under 1 min".
    /// </summary>
    /// <param name="seconds">The difference, seconds; 0 or more and finite.</param>
    /// <param name="of">One of the two times, seconds; 0 or more and finite.</param>
    public static string Difference(double seconds, double of)
    {
        Require.NotNegative(seconds);
        TimeScale scale = TimeScale.Of(Max(of, seconds));
        if (scale == TimeScale.HoursAndMinutes)
        {
            double minutes = Round(seconds / Minute, MidpointRounding.AwayFromZero);
            return minutes < 90 ? AtLeastOne(minutes, "min") : HoursAndMinutes(seconds);
        }

        return scale.IsWhole(Max(of, seconds))
            ? AtLeastOne(Round(seconds / scale.Seconds, MidpointRounding.AwayFromZero), scale.Unit)
            : (seconds / scale.Seconds).ToString("0.0", CultureInfo.InvariantCulture) + NoBreakSpace + scale.Unit;

        static string AtLeastOne(double whole, string unit) =>
            (whole < 1 ? "under" + NoBreakSpace + "1" : Whole(whole)) + NoBreakSpace + unit;
    }

    /// <summary>A median and its band: "40 min (38 to 43)".</summary>
    public static string TimeWithBand(Fitting.Band band) =>
        $"{Time(band.Median)} ({TimeRange(band.Low, band.High, band.Median)})";

    /// <summary>A chance as nights of 100, rounded down: "98 of 100", "more than 99 of 100", "fewer than 1 of 100".</summary>
    /// <param name="chance">From 0 to 1.</param>
    public static string Chance(double chance) => ChanceCount(chance, "more than 99", "fewer than 1") + " of 100";

    /// <summary>The same for a narrow column: "98", "99+", "under 1".</summary>
    /// <param name="chance">From 0 to 1.</param>
    public static string ChanceBrief(double chance) => ChanceCount(chance, "99+", "under" + NoBreakSpace + "1");

    /// <summary>A target as nights: "19 nights in 20" where the target is one miss in a whole number, else "97 nights in 100".</summary>
    /// <param name="target">Above 0 and below 1.</param>
    public static string Target(double target)
    {
        double oneIn = 1 / (1 - target);
        double whole = Round(oneIn);
        return Abs(oneIn - whole) < 1e-6 * whole && whole is >= 2 and <= 100_000
            ? $"{Whole(whole - 1)} nights in {Whole(whole)}"
            : $"{(target * 100).ToString("0.##", CultureInfo.InvariantCulture)} nights in 100";
    }

    /// <summary>The cost of one run: two decimals, or two significant digits below a hundredth.</summary>
    /// <param name="amount">The amount.</param>
    /// <param name="currency">ISO 4217 code.</param>
    public static string MoneyOfRun(decimal amount, string currency)
    {
        decimal size = Math.Abs(amount);
        string digits = size is > 0 and < 0.01m
            ? TwoSignificant(size)
            : Math.Round(size, 2, MidpointRounding.AwayFromZero).ToString("#,0.00", CultureInfo.InvariantCulture);
        return Signed(amount, currency, digits);
    }

    /// <summary>The cost of a month: whole from 10, else two decimals.</summary>
    /// <param name="amount">The amount.</param>
    /// <param name="currency">ISO 4217 code.</param>
    public static string MoneyOfMonth(decimal amount, string currency) =>
        Math.Abs(amount) < 10
            ? MoneyOfRun(amount, currency)
            : Signed(amount, currency, Math.Round(Math.Abs(amount), 0, MidpointRounding.AwayFromZero).ToString("#,0", CultureInfo.InvariantCulture));

    /// <summary>A ratio: "8.0 times", whole from 10.</summary>
    public static string Times(double ratio) => TimesNumber(ratio) + " times";

    /// <summary>The number of <see cref="Times"/> alone.</summary>
    public static string TimesNumber(double ratio) =>
        ratio.ToString(ratio < 9.95 ? "0.0" : "#,0", CultureInfo.InvariantCulture);

    /// <summary>A share in per cent, with one decimal below 10 %.</summary>
    /// <param name="share">1 is 100 %.</param>
    public static string Percent(double share) =>
        (share * 100).ToString(Abs(share) < 0.0995 ? "0.#" : "#,0", CultureInfo.InvariantCulture).Replace("-", "−", StringComparison.Ordinal)
        + NoBreakSpace + "%";

    /// <summary>A count with a comma for thousands, or at most one decimal where it is not whole and below 100.</summary>
    public static string Count(double count) =>
        count.ToString(count < 100 ? "#,0.#" : "#,0", CultureInfo.InvariantCulture);

    /// <summary>A clock time on 24 hours.</summary>
    public static string Clock(TimeOnly time) => time.ToString("HH:mm", CultureInfo.InvariantCulture);

    /// <summary>A month and year: "Aug 2027".</summary>
    public static string Month(DateOnly day) => day.ToString("MMM yyyy", CultureInfo.InvariantCulture);

    /// <summary>"a" or "an", as the figure is spoken.</summary>
    public static string Article(string figure) =>
        figure.StartsWith('8') || figure.StartsWith("11" + NoBreakSpace, StringComparison.Ordinal) || figure.StartsWith("18" + NoBreakSpace, StringComparison.Ordinal)
            ? "an"
            : "a";

    private static string ChanceCount(double chance, string nearlyAll, string nearlyNone)
    {
        Require.Within(chance, 0, 1);
        // Rounded down, but a hair below a whole number by rounding alone counts as that number.
        double count = Floor(chance * 100 + 1e-9);
        return chance > 0.99 + 1e-12 ? nearlyAll : count < 1 ? nearlyNone : Whole(count);
    }

    private static string HoursAndMinutes(double seconds)
    {
        double minutes = Round(seconds / Minute, MidpointRounding.AwayFromZero);
        double hours = Floor(minutes / 60);
        return $"{Whole(hours)}{NoBreakSpace}h{NoBreakSpace}{(minutes - hours * 60).ToString("00", CultureInfo.InvariantCulture)}";
    }

    private static string InScale(double seconds, TimeScale scale)
    {
        double value = seconds / scale.Seconds;
        return value.ToString(scale.IsWhole(seconds) ? "#,0" : "0.0", CultureInfo.InvariantCulture);
    }

    private static string TwoSignificant(decimal size)
    {
        int decimals = (int)Ceiling(-Log10((double)size)) + 1;
        return Math.Round(size, Min(decimals, 12), MidpointRounding.AwayFromZero).ToString("0.############", CultureInfo.InvariantCulture);
    }

    private static string Signed(decimal amount, string currency, string digits)
    {
        string symbol = currency switch
        {
            "EUR" => "€",
            "USD" => "$",
            "GBP" => "£",
            "JPY" => "¥",
            _ => currency + NoBreakSpace,
        };
        return (amount < 0 ? "−" : "") + symbol + digits;
    }

    private static string Whole(double value) => value.ToString("#,0", CultureInfo.InvariantCulture);

    /// <summary>A unit times are written in, and below what value with one decimal.</summary>
    private sealed record TimeScale(string Unit, double Seconds, double TenthsBelow)
    {
        public static readonly TimeScale HoursAndMinutes = new("h", Hour, 0);

        private static readonly TimeScale s_microseconds = new("µs", 1e-6, 10);
        private static readonly TimeScale s_milliseconds = new("ms", 1e-3, 10);
        private static readonly TimeScale s_seconds = new("s", 1, 10);
        private static readonly TimeScale s_minutes = new("min", Minute, 10);
        private static readonly TimeScale s_days = new("days", Day, 10);

        public static TimeScale Of(double seconds) => seconds switch
        {
            0 => s_seconds,
            < 0.000_999_5 => s_microseconds,
            < 0.999_5 => s_milliseconds,
            < 89.5 => s_seconds,
            < 89.5 * Minute => s_minutes,
            < 48 * Hour => HoursAndMinutes,
            _ => s_days,
        };

        /// <summary>True where a time of this scale is written without a decimal.</summary>
        public bool IsWhole(double seconds) => TenthsBelow == 0 || seconds / Seconds >= TenthsBelow - 0.05;
    }
}
