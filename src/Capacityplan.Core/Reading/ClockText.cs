using System.Globalization;

namespace Capacityplan.Core.Reading;

/// <summary>Reads a time of day: 04:00, 4:00, 0400, 4, 4am, 4.30 pm, 16h30, 16 h, noon, midnight.</summary>
/// <remarks>24:00 is midnight, read as 00:00. Without am or pm the clock has 24 hours.</remarks>
public static class ClockText
{
    /// <summary>Reads a time of day.</summary>
    /// <param name="text">The text; spaces around it are ignored.</param>
    /// <param name="time">The time, to the second.</param>
    /// <returns>False where the text is not a time of day.</returns>
    public static bool TryRead(ReadOnlySpan<char> text, out TimeOnly time)
    {
        time = default;
        text = text.Trim();
        if (text.Length > 20)
            return false;
        if (text.Equals("noon", StringComparison.OrdinalIgnoreCase))
        {
            time = new TimeOnly(12, 0);
            return true;
        }

        if (text.Equals("midnight", StringComparison.OrdinalIgnoreCase))
            return true;

        var half = Half(ref text);
        if (!TryDigits(text, out var hour, out var minute, out var second))
            return false;
        if (half is { } noonAtTwelve)
        {
            if (hour is < 1 or > 12)
                return false;
            hour = hour % 12 + noonAtTwelve;
        }

        if (hour == 24 && minute == 0 && second == 0)
            hour = 0;
        if (hour > 23 || minute > 59 || second > 59)
            return false;
        time = new TimeOnly(hour, minute, second);
        return true;
    }

    /// <summary>Takes am or pm off the end: the hours it adds, null where there is none.</summary>
    private static int? Half(ref ReadOnlySpan<char> text)
    {
        foreach (var (ending, hours) in (ReadOnlySpan<(string, int)>)[("am", 0), ("a.m.", 0), ("pm", 12), ("p.m.", 12)])
        {
            if (text.EndsWith(ending, StringComparison.OrdinalIgnoreCase))
            {
                text = text[..^ending.Length].TrimEnd();
                return hours;
            }
        }

        foreach (var ending in (ReadOnlySpan<string>)["o'clock", "uhr", "h"])
        {
            if (text.EndsWith(ending, StringComparison.OrdinalIgnoreCase))
            {
                text = text[..^ending.Length].TrimEnd();
                break;
            }
        }

        return null;
    }

    private static bool TryDigits(ReadOnlySpan<char> text, out int hour, out int minute, out int second)
    {
        hour = minute = second = 0;
        Span<Range> parts = stackalloc Range[4];
        var count = text.SplitAny(parts, ":.hH");
        if (count == 1 && text.Length is 3 or 4)
            return TryPart(text[..^2], out hour) && TryPart(text[^2..], out minute);
        return count is >= 1 and <= 3
            && TryPart(text[parts[0]], out hour)
            && (count < 2 || (text[parts[1]].Trim().Length == 2 && TryPart(text[parts[1]], out minute)))
            && (count < 3 || (text[parts[2]].Trim().Length == 2 && TryPart(text[parts[2]], out second)));
    }

    private static bool TryPart(ReadOnlySpan<char> digits, out int value) =>
        int.TryParse(digits.Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out value) && digits.Trim().Length <= 2;
}
