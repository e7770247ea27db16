namespace Capacityplan.Core.Reading;

/// <summary>What the heading of a column says.</summary>
/// <param name="Meaning">What the column holds, as far as its words say.</param>
/// <param name="UnitSeconds">Unit of its times, seconds; null where the heading names none.</param>
/// <param name="Number">A number in the heading, as in "run 2"; null where there is none.</param>
internal readonly record struct Heading(WordMeaning Meaning, double? UnitSeconds, int? Number)
{
    private const int LongestHeading = 80;

    /// <summary>True where the heading says, or may say, what kind of figures stand below it.</summary>
    public bool IsKnown => Meaning != WordMeaning.None;

    /// <summary>Reads a heading such as "wall [s]", "numThreads", "time_ms", "items/s", "run 2", "Laufzeit (min)".</summary>
    public static Heading Read(string text)
    {
        if (text.Length > LongestHeading)
            return default;
        if (text.IndexOf('±', StringComparison.Ordinal) is > 0 and var spread)
            text = text[..spread];

        var words = WordsOf(text);
        double? unit = null;
        int? number = null;
        var strong = WordMeaning.None;
        var weak = WordMeaning.None;
        var isCoresFirst = false;
        var isTimeSeen = false;
        foreach (var word in words)
        {
            if (char.IsDigit(word[0]))
            {
                number ??= int.TryParse(word, out var parsed) ? parsed : null;
                continue;
            }

            var meaning = HeadingWords.Of(word);
            if (TimeUnits.TryFind(word, out var seconds) && meaning is WordMeaning.None or WordMeaning.Time)
                unit ??= seconds;
            if (meaning is WordMeaning.PerhapsCores or WordMeaning.PerhapsTime or WordMeaning.PerhapsSize)
            {
                weak = weak == WordMeaning.None ? meaning : weak;
                continue;
            }

            isTimeSeen |= meaning == WordMeaning.Time;
            isCoresFirst |= meaning == WordMeaning.Cores && !isTimeSeen;
            if (Rank(meaning) > Rank(strong))
                strong = meaning;
        }

        // "core hours" and "CPU time" count processor time, not the clock; "time on n cores" is the clock.
        if (isCoresFirst && (isTimeSeen || unit >= 1) && strong is WordMeaning.Time or WordMeaning.Cores && words.Count > 1)
            return new Heading(WordMeaning.Unused, null, number);

        // "items/s" is a rate; "time/s" and "t/s" are times with their unit.
        if (!isTimeSeen && Rank(strong) < Rank(WordMeaning.Speedup) && IsPerUnitOfTime(text))
            strong = weak == WordMeaning.PerhapsTime && strong == WordMeaning.None ? WordMeaning.Time : WordMeaning.Rate;
        if (IsSpeedUp(words) || text is "x" or "X" or "×" || text.StartsWith("S(", StringComparison.Ordinal))
            strong = WordMeaning.Speedup;
        var result = strong != WordMeaning.None ? strong
            : unit is not null ? WordMeaning.Time
            : weak;
        return new Heading(result, unit, number);
    }

    /// <summary>Which of several words in one heading decides: "grain size" is no size, "run time" a time, "speedup by time" a speedup.</summary>
    private static int Rank(WordMeaning meaning) => meaning switch
    {
        WordMeaning.Speedup => 9,
        WordMeaning.Unused => 8,
        WordMeaning.Rate => 7,
        WordMeaning.Extreme => 6,
        WordMeaning.Central => 5,
        WordMeaning.Time => 4,
        WordMeaning.Cores => 3,
        WordMeaning.Sitting or WordMeaning.Run or WordMeaning.Repeat => 2,
        WordMeaning.Size or WordMeaning.Label => 1,
        _ => 0,
    };

    private static bool IsSpeedUp(List<string> words)
    {
        var at = words.IndexOf("speed");
        return at >= 0 && at + 1 < words.Count && words[at + 1] == "up";
    }

    private static bool IsPerUnitOfTime(string text)
    {
        for (var at = 1; at < text.Length; at++)
        {
            if ((text[at] is '/' or ' ') && Rates.UnitLength(text.AsSpan(at)) > 0)
                return true;
        }

        return false;
    }

    /// <summary>True where some word of a text means something in a heading.</summary>
    public static bool HasKnownWord(ReadOnlySpan<char> text)
    {
        for (var at = 0; NextWord(text, at) is { Length: > 0 } word; at = word.Start + word.Length)
        {
            var letters = text.Slice(word.Start, word.Length);
            if (HeadingWords.Of(letters) != WordMeaning.None || TimeUnits.TryFind(letters, out _))
                return true;
        }

        return text.ContainsAny('x', 'X', '×');
    }

    /// <summary>Runs of letters and runs of digits, with camel case taken apart.</summary>
    internal static List<string> WordsOf(string text)
    {
        var words = new List<string>();
        for (var at = 0; NextWord(text, at) is { Length: > 0 } word; at = word.Start + word.Length)
            words.Add(text.Substring(word.Start, word.Length).ToLowerInvariant());
        return words;
    }

    private static (int Start, int Length) NextWord(ReadOnlySpan<char> text, int from)
    {
        var start = from;
        while (start < text.Length && !char.IsLetterOrDigit(text[start]))
            start++;
        if (start == text.Length)
            return (start, 0);
        var end = start + 1;
        while (end < text.Length && (char.IsDigit(text[start])
            ? char.IsDigit(text[end])
            : char.IsLetter(text[end]) && !(char.IsUpper(text[end]) && char.IsLower(text[end - 1]))))
        {
            end++;
        }

        return (start, end - start);
    }
}
