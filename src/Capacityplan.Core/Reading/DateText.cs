using System.Globalization;

namespace Capacityplan.Core.Reading;

/// <summary>
/// Reads a day: 3 Nov 2026, 3 November 2026, Nov 3, 2026, 2026-11-03, 3.11.2026, 13/11/2026; Nov 2026 and 2026-11 are the
/// first of that month. Month names are English.
/// </summary>
/// <remarks>With slashes the order of day and month differs between countries: a text that both orders make a day of, and
/// not the same one, is not read.</remarks>
public static class DateText
{
    private const int EarliestYear = 1970;

    private static readonly string[] s_forms =
    [
        "yyyy-M-d", "yyyy/M/d", "yyyy.M.d", "yyyyMMdd", "d.M.yyyy", "d-M-yyyy",
        "d MMM yyyy", "d MMMM yyyy", "MMM d yyyy", "MMMM d yyyy", "MMM yyyy", "MMMM yyyy", "yyyy-M",
    ];

    /// <summary>Reads a day.</summary>
    /// <param name="text">The text; spaces around it are ignored, as is letter case.</param>
    /// <param name="day">The day; of 1970 or later.</param>
    /// <returns>False where the text is not a day, or could be two.</returns>
    public static bool TryRead(ReadOnlySpan<char> text, out DateOnly day)
    {
        day = default;
        text = text.Trim();
        if (text.IsEmpty || text.Length > 40)
            return false;
        string plain = string.Join(' ', text.ToString().Replace(',', ' ').Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries))
            .Replace("sept ", "sep ", StringComparison.OrdinalIgnoreCase);
        return (TryForms(plain, s_forms, out day) || TrySlashes(plain, out day)) && day.Year >= EarliestYear;
    }

    private static bool TrySlashes(string text, out DateOnly day)
    {
        bool isDayFirst = TryForms(text, ["d/M/yyyy"], out day);
        bool isMonthFirst = TryForms(text, ["M/d/yyyy"], out DateOnly other);
        if (!isDayFirst)
            day = other;
        return isDayFirst != isMonthFirst || (isDayFirst && day == other);
    }

    private static bool TryForms(string text, string[] forms, out DateOnly day) =>
        DateOnly.TryParseExact(text, forms, CultureInfo.InvariantCulture, DateTimeStyles.None, out day);
}
