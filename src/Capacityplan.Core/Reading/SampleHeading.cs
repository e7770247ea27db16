namespace Capacityplan.Core.Reading;

/// <summary>What the words over a column of task data say.</summary>
internal static class SampleHeading
{
    private const int LongestLabel = 40;

    private static readonly HashSet<string> s_notValues = new(StringComparer.OrdinalIgnoreCase)
    {
        "nan", "inf", "infinity", "null", "none", "na", "n/a", "nil", "undefined", "true", "false", "failed", "error", "-", "--", "?",
    };

    // Points in time and waiting, which stand beside a duration in the logs of task runners, and what is measured of many tasks.
    private static readonly HashSet<string> s_otherTimes = new(StringComparer.OrdinalIgnoreCase)
    {
        "start", "started", "begin", "began", "end", "ended", "stop", "stopped", "finish", "submit", "submitted", "created", "queue", "queued",
        "wait", "waiting", "timestamp", "stamp", "epoch", "date", "at", "since", "id", "index", "idx", "no", "nr", "number", "seq", "count", "rank",
        "bytes", "mb", "kb", "priority", "exit", "code", "pid", "row", "line", "offset", "worker", "thread", "status", "retries",
    };

    private static readonly HashSet<string> s_sums = new(StringComparer.OrdinalIgnoreCase)
    {
        "total", "totals", "sum", "count", "stdev", "stddev", "std", "variance", "summe", "gesamt", "somme", "suma",
    };

    private static readonly HashSet<string> s_durations = new(StringComparer.OrdinalIgnoreCase)
    {
        "duration", "durations", "elapsed", "latency", "latencies", "took", "runtime", "runtimes", "wall", "walltime", "dauer", "laufzeit", "durée", "durées", "duración", "durata", "duração",
    };

    /// <summary>True for words without a figure that may stand over values.</summary>
    public static bool IsHeading(string text)
    {
        ReadOnlySpan<char> words = text.AsSpan().Trim("\"' \t,;|");
        if (words.IsEmpty || s_notValues.Contains(words.ToString()) || !ContainsLetter(words))
            return false;
        return !PastedLine.ContainsDigit(words) || (char.IsLetter(words[0]) && !DurationText.TryRead(words, out _) && words.Length < LongestLabel
            && Reading.Heading.HasKnownWord(words) && Label(text) is null && !PastedLine.ContainsDigit(words[..Math.Min(3, words.Length)]) && FiguresIn(text) <= 1 && Unit(text) is not null);
    }

    /// <summary>The words before a colon or equals sign with figures behind it; null where there are none.</summary>
    public static string? Label(string text)
    {
        int mark = text.AsSpan().IndexOfAny(':', '=');
        if (mark <= 0 || mark > LongestLabel)
            return null;
        ReadOnlySpan<char> words = text.AsSpan(0, mark);
        return ContainsLetter(words) && !PastedLine.ContainsDigit(words) && PastedLine.ContainsDigit(text.AsSpan(mark + 1)) ? words.Trim().ToString() : null;
    }

    /// <summary>True where the first word says that a figure sums tasks up.</summary>
    public static bool IsSum(ReadOnlySpan<char> text)
    {
        int end = 0;
        text = text.TrimStart();
        while (end < text.Length && char.IsLetter(text[end]))
            end++;
        ReadOnlySpan<char> word = text[..end];
        return !word.IsEmpty && (s_sums.Contains(word.ToString()) || HeadingWords.Of(word) is WordMeaning.Central or WordMeaning.Extreme);
    }

    /// <summary>The unit of time a heading gives, seconds; null where it gives none.</summary>
    public static double? Unit(string heading)
    {
        if (heading.Length > 2 * LongestLabel)
            return null;
        foreach (string word in Reading.Heading.WordsOf(heading))
        {
            if (TimeUnits.TryFind(word, out double seconds) && HeadingWords.Of(word) is WordMeaning.None or WordMeaning.Time && !(word == "min" && heading.Length == 3))
                return seconds;
        }

        return null;
    }

    /// <summary>How much a heading speaks for durations below it; below 0 where it speaks against.</summary>
    public static int Score(string heading)
    {
        int score = 0;
        foreach (string word in heading.Length > 2 * LongestLabel ? [] : Reading.Heading.WordsOf(heading))
        {
            score += s_otherTimes.Contains(word) ? -8
                : s_durations.Contains(word) ? 6
                : HeadingWords.Of(word) switch
                {
                    WordMeaning.Time => 4,
                    WordMeaning.PerhapsTime => 1,
                    WordMeaning.Cores or WordMeaning.Size or WordMeaning.Rate or WordMeaning.Speedup or WordMeaning.Label or WordMeaning.Repeat => -4,
                    WordMeaning.Unused when word is not ("task" or "tasks" or "cpu" or "node" or "nodes") => -4,
                    WordMeaning.Unused when word is "cpu" => -1,
                    _ => 0,
                };
        }

        return score;
    }

    private static int FiguresIn(string text)
    {
        int figures = 0;
        for (int i = 0; i < text.Length; i++)
            figures += char.IsDigit(text[i]) && (i == 0 || !char.IsDigit(text[i - 1])) ? 1 : 0;
        return figures;
    }

    private static bool ContainsLetter(ReadOnlySpan<char> text)
    {
        foreach (char symbol in text)
        {
            if (char.IsLetter(symbol))
                return true;
        }

        return false;
    }
}
