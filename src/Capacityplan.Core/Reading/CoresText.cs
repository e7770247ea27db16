namespace Capacityplan.Core.Reading;

/// <summary>What a cell meant for a number of cores holds.</summary>
internal enum CoresState
{
    /// <summary>No digits.</summary>
    Missing,

    /// <summary>Something with digits that is not a number of cores.</summary>
    Unreadable,

    /// <summary>A number of cores, possibly one no machine has; the range is judged where timings are made.</summary>
    Read,
}

/// <summary>A number of cores as it stands in a cell.</summary>
/// <param name="State">Whether one was read.</param>
/// <param name="Number">The number, not yet known to be whole or in range.</param>
/// <param name="Start">Where in the text its digits, or the word for it, start.</param>
/// <param name="Length">How long they are.</param>
/// <param name="SaysCores">True where a word or option beside the number says that it counts cores.</param>
/// <param name="MayBeThousands">True for a text such as "1.000", which is a thousand where commas are decimal marks, else one.</param>
internal readonly record struct CoresReading(CoresState State, double Number, int Start, int Length, bool SaysCores, bool MayBeThousands = false)
{
    /// <summary>True for a whole number from 1 to the largest core count.</summary>
    public bool IsCount => State == CoresState.Read && Number >= 1 && Number <= Fitting.Timing.MostCores && Number == Math.Floor(Number);
}

/// <summary>Reads a cell of a column of core counts: 8, 8 cores, 8-core, p=8, -j8, threads: 8, 1,024, 8.0, serial.</summary>
internal static class CoresText
{
    public static CoresReading Read(ReadOnlySpan<char> text)
    {
        if (text.Length > NumberText.Longest)
            return new CoresReading(PastedLine.ContainsDigit(text) ? CoresState.Unreadable : CoresState.Missing, 0, 0, text.Length, false);
        if (IsOne(text))
            return new CoresReading(CoresState.Read, 1, 0, text.Length, true);
        if (!PastedLine.ContainsDigit(text))
            return new CoresReading(CoresState.Missing, 0, 0, text.Length, false);

        var start = text.IndexOfAnyInRange('0', '9');
        if (start < 0)
            start = text.Length;
        var end = start;
        while (end < text.Length && (char.IsDigit(text[end]) || (text[end] is '.' or ',' or '\'' or '_' || NumberText.IsWideOrNarrowSpace(text[end])) && end + 1 < text.Length && char.IsDigit(text[end + 1])))
            end++;

        var before = text[..start];
        var after = text[end..];
        if (start > 0 && (text[start - 1] == '+' || NumberText.IsMinus(text[start - 1])) && before[..^1].Trim().IsEmpty)
            before = text[..--start];

        var saysBefore = SaysCoresBefore(before);
        var saysAfter = SaysCoresAfter(after);
        var isAlone = (saysBefore || IsEmptyBeside(before)) && (saysAfter || IsEmptyBeside(after));
        if (!isAlone || !NumberText.TryRead(text[start..end], DecimalMark.Unknown, out var number))
            return new CoresReading(CoresState.Unreadable, 0, 0, text.Length, false);

        // A count has no decimals but zeros, so "1.024" is a thousand and more.
        var isWhole = number.Value == Math.Floor(number.Value);
        if (number.IsAmbiguous && !isWhole)
            NumberText.TryRead(text[start..end], DecimalMark.Comma, out number);
        return new CoresReading(
            CoresState.Read, number.Value, start, end - start, saysBefore || saysAfter, number.IsAmbiguous && isWhole && text[start..end].Contains('.'));
    }

    /// <summary>"threads=", "-j", "--workers ", "p = ", "cores: ".</summary>
    private static bool SaysCoresBefore(ReadOnlySpan<char> text)
    {
        var word = text.Trim(" \t=:-#([");
        return word.Length > 0 && (HeadingWords.Of(word) is WordMeaning.Cores or WordMeaning.PerhapsCores or WordMeaning.PerhapsSize || word is "t");
    }

    /// <summary>" cores", "-core", "c", " physical cores", " threads:".</summary>
    private static bool SaysCoresAfter(ReadOnlySpan<char> text)
    {
        if (text is "c" or "t" or "w" or "p")
            return true;
        if (PastedLine.ContainsDigit(text))
            return false;
        foreach (var range in text.SplitAny(" \t-:()"))
        {
            if (HeadingWords.IsCores(text[range]))
                return true;
        }

        return false;
    }

    private static bool IsEmptyBeside(ReadOnlySpan<char> text) => text.Trim(" \t:").IsEmpty;

    private static bool IsOne(ReadOnlySpan<char> text) =>
        text.Equals("serial", StringComparison.OrdinalIgnoreCase)
        || text.Equals("sequential", StringComparison.OrdinalIgnoreCase)
        || text.Equals("one core", StringComparison.OrdinalIgnoreCase)
        || text.Equals("single core", StringComparison.OrdinalIgnoreCase)
        || text.Equals("single thread", StringComparison.OrdinalIgnoreCase);
}
