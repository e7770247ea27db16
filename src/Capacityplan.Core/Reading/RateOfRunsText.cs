namespace Capacityplan.Core.Reading;

/// <summary>
/// Reads how often a job runs, as runs a month: every night, daily, weekdays, once a week, twice a night, 3 times a day,
/// 5 nights a week, hourly, every 6 hours, every other day, monthly, 30.4 a month, or a bare number of runs a month.
/// </summary>
/// <remarks>A month is 30.4 nights, the planner's default for a nightly job; days, weeks and hours follow from it.</remarks>
public static class RateOfRunsText
{
    /// <summary>Nights in a month, and days.</summary>
    public const double NightsPerMonth = 30.4;

    private const double MonthsPerYear = 12;

    /// <summary>Reads how often a job runs.</summary>
    /// <param name="text">The text; spaces around it are ignored.</param>
    /// <param name="runsPerMonth">Runs a month; above 0 and finite.</param>
    /// <returns>False where the text does not say how often, or says never.</returns>
    public static bool TryRead(ReadOnlySpan<char> text, out double runsPerMonth)
    {
        runsPerMonth = 0;
        if (text.Length > 80 || text.TrimStart() is [var sign, ..] && NumberText.IsMinus(sign))
            return false;
        var words = text.ToString().ToLowerInvariant().Replace("/", " per ", StringComparison.Ordinal).Replace('-', ' ')
            .Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries).AsSpan();
        while (words is ["runs" or "run" or "at" or "on" or "it", ..])
            words = words[1..];

        runsPerMonth = Bare(words) ?? Named(words) ?? Every(words) ?? Counted(words) ?? 0;
        return runsPerMonth > 0 && double.IsFinite(runsPerMonth);
    }

    private static double? Bare(ReadOnlySpan<string> words)
    {
        // Thousands may be parted by a space, so the words are one number or none.
        return NumberText.TryRead(string.Join(' ', words), out var runs) ? runs : null;
    }

    private static double? Named(ReadOnlySpan<string> words) => words switch
    {
        ["nightly" or "daily"] => NightsPerMonth,
        ["hourly"] => NightsPerMonth * 24,
        ["weekly"] => NightsPerMonth / 7,
        ["fortnightly"] => NightsPerMonth / 14,
        ["monthly"] => 1,
        ["quarterly"] => 3 / MonthsPerYear,
        ["yearly" or "annually"] => 1 / MonthsPerYear,
        [var day] => Days(day),
        [var day, "night" or "nights"] => Days(day),
        ["every" or "each", var day] => Days(day),
        ["every" or "each", var day, "night" or "nights"] => Days(day),
        ["every" or "each", "working" or "work" or "business", "day"] or ["working" or "work" or "business", "days"] => Days("weekdays"),
        _ => null,
    };

    /// <summary>Runs a month of once on each day a word names: "weekdays", "saturday".</summary>
    private static double? Days(string word) => word switch
    {
        "weekday" or "weekdays" or "weeknight" or "weeknights" or "workday" or "workdays" => NightsPerMonth * 5 / 7,
        "weekend" or "weekends" => NightsPerMonth * 2 / 7,
        _ when word.EndsWith("day", StringComparison.Ordinal) || word.EndsWith("days", StringComparison.Ordinal) =>
            Enum.TryParse<DayOfWeek>(word.TrimEnd('s'), ignoreCase: true, out _) ? NightsPerMonth / 7 : null,
        _ => null,
    };

    /// <summary>"every night", "every 6 hours", "every other day", "every second week".</summary>
    private static double? Every(ReadOnlySpan<string> words)
    {
        if (words is not ["every" or "each", ..])
            return null;
        return words[1..] switch
        {
            [var unit] => PerMonth(unit),
            ["other", var unit] => PerMonth(unit) / 2,
            [var gap, var unit] => PerMonth(unit) / Count(gap),
            _ => null,
        };
    }

    /// <summary>"once a week", "twice a night", "3 times a day", "5 nights a week", "30.4 a month", "12 runs per month".</summary>
    private static double? Counted(ReadOnlySpan<string> words) => words switch
    {
        [var count, "a" or "an" or "per" or "each" or "every", var unit] => Count(count) * PerMonth(unit),
        [var count, "times" or "time" or "runs" or "run" or "nights" or "days" or "x", "a" or "an" or "per" or "each" or "every", var unit] =>
            Count(count) * PerMonth(unit),
        _ => null,
    };

    private static double? PerMonth(string unit) => unit switch
    {
        "minute" or "minutes" or "min" => NightsPerMonth * 1440,
        "hour" or "hours" or "h" => NightsPerMonth * 24,
        "night" or "nights" or "day" or "days" or "evening" or "morning" => NightsPerMonth,
        "week" or "weeks" => NightsPerMonth / 7,
        "fortnight" or "fortnights" => NightsPerMonth / 14,
        "month" or "months" => 1,
        "quarter" or "quarters" => 3 / MonthsPerYear,
        "year" or "years" => 1 / MonthsPerYear,
        _ => null,
    };

    private static double? Count(string word) => word switch
    {
        "once" or "one" or "a" => 1,
        "twice" or "two" or "second" => 2,
        "thrice" or "three" or "third" => 3,
        "four" or "fourth" => 4,
        "five" => 5,
        "six" => 6,
        "seven" => 7,
        "eight" => 8,
        "nine" => 9,
        "ten" => 10,
        "twelve" => 12,
        _ => NumberText.TryRead(word.TrimEnd('n', 'd', 'r', 's', 't', 'h', 'x', '×'), out var count) && count > 0 ? count : null,
    };
}
