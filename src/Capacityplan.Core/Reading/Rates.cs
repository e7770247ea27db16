namespace Capacityplan.Core.Reading;

/// <summary>Units of throughput: something done in a unit of time.</summary>
internal static class Rates
{
    /// <summary>
    /// Length of a unit of throughput after a number: "/s", " items/s", "k ops/sec", " tiles per minute", spaces before it
    /// included; 0 where there is none.
    /// </summary>
    public static int UnitLength(ReadOnlySpan<char> text)
    {
        var at = 0;
        for (var words = 0; words < 4; words++)
        {
            while (at < text.Length && text[at] == ' ')
                at++;
            if (at < text.Length && text[at] == '/')
            {
                var unit = Word(text[(at + 1)..].TrimStart());
                var end = at + 1 + (text[(at + 1)..].Length - text[(at + 1)..].TrimStart().Length) + unit.Length;
                return TimeUnits.TryFind(unit, out _) ? end : 0;
            }

            var word = Word(text[at..]);
            if (word.IsEmpty)
                return 0;
            if (word.Equals("per", StringComparison.OrdinalIgnoreCase))
            {
                var unit = Word(text[(at + 3)..].TrimStart());
                return TimeUnits.TryFind(unit, out _) ? text.Length - text[(at + 3)..].TrimStart().Length + unit.Length : 0;
            }

            if (TimeUnits.TryFind(word, out _) && words == 0 && at == 0 && word is not "m")
                return 0;
            at += word.Length;
        }

        return 0;
    }

    /// <summary>What one of a unit is a second: 1 for "items/s", 1/60 for "items/min", 1000 for "k items/s".</summary>
    public static double PerSecond(ReadOnlySpan<char> unit)
    {
        var slash = unit.LastIndexOf('/');
        var at = slash >= 0 ? slash + 1 : unit.LastIndexOf("per ", StringComparison.OrdinalIgnoreCase) + 4;
        TimeUnits.TryFind(unit[at..].Trim(), out var seconds);
        return Multiple(Word(unit.TrimStart())) / seconds;
    }

    private static double Multiple(ReadOnlySpan<char> word) => word switch
    {
        "k" or "K" or "kB" or "KB" => 1e3,
        "KiB" => 1024,
        "M" or "MB" => 1e6,
        "MiB" => 1024 * 1024,
        "G" or "GB" => 1e9,
        "GiB" => 1024 * 1024 * 1024,
        "T" or "TB" => 1e12,
        _ => 1,
    };

    private static ReadOnlySpan<char> Word(ReadOnlySpan<char> text)
    {
        var length = 0;
        while (length < text.Length && char.IsLetter(text[length]))
            length++;
        return text[..length];
    }
}
