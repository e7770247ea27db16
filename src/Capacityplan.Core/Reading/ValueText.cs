using System.Buffers;

namespace Capacityplan.Core.Reading;

/// <summary>What kind of figure stands beside a core count.</summary>
internal enum ValueKind
{
    /// <summary>No digits: nothing was measured.</summary>
    Missing,

    /// <summary>Digits, but no figure that could be a time, a speedup or a rate.</summary>
    Unreadable,

    Time,
    Speedup,
    Rate,
}

/// <summary>A figure beside a core count, as it stands in a text.</summary>
/// <param name="Kind">What it is.</param>
/// <param name="Amount">Seconds of a time that says its unit; otherwise the number as it stands.</param>
/// <param name="Start">Where in the text the figure starts.</param>
/// <param name="Length">How long it is, unit included.</param>
/// <param name="HasUnit">True where the figure says its unit itself.</param>
/// <param name="UnitSeconds">That unit, seconds, where it is one number with one unit.</param>
/// <param name="IsAmbiguous">True where a mark in it could part thousands or decimals.</param>
/// <param name="Mark">The decimal mark the figure proves.</param>
/// <param name="Remark">Where words stand behind the figure, where they start; otherwise 0.</param>
internal readonly record struct ValueReading(
    ValueKind Kind, double Amount, int Start, int Length, bool HasUnit, double? UnitSeconds, bool IsAmbiguous, DecimalMark Mark, int Remark = 0)
{
    public bool IsFigure => Kind is ValueKind.Time or ValueKind.Speedup or ValueKind.Rate;
}

/// <summary>
/// Reads a cell beside a core count: a duration in any form, a factor such as 6.2x, a rate such as 1200 items/s, each with
/// words, brackets or a spread behind it.
/// </summary>
internal static class ValueText
{
    private static readonly SearchValues<char> s_tailMarks = SearchValues.Create("([;*†");

    /// <param name="text">The cell.</param>
    /// <param name="unitSeconds">What a bare number counts, where the heading says so; 3600 also makes h:mm of two parts.</param>
    /// <param name="mark">The decimal mark of the column, where it is known.</param>
    public static ValueReading Read(ReadOnlySpan<char> text, double? unitSeconds, DecimalMark mark)
    {
        if (!PastedLine.ContainsDigit(text))
            return new ValueReading(ValueKind.Missing, 0, 0, text.Length, false, null, false, DecimalMark.Unknown);

        // Bare numbers stay numbers here, so that the column can settle their unit; only h:mm needs to know it now.
        var bare = unitSeconds == TimeUnits.Hour ? TimeUnits.Hour : 1;
        var start = text.Length - text.TrimStart("<>=([ ").Length;
        var body = text[start..];
        if (start > 0 && body is [.., ')' or ']'])
            body = body[..^1].TrimEnd();

        if (DurationText.TryRead(body, bare, mark, out var duration))
            return Time(duration, bare, start, body.Length);
        var length = Factor(body, mark, out var factor);
        if (length > 0)
            return new ValueReading(ValueKind.Speedup, factor.Value, start, length, true, null, factor.IsAmbiguous, factor.Mark);
        length = Rate(body, mark, out var rate);
        if (length > 0)
            return new ValueReading(ValueKind.Rate, rate.Value, start, length, true, null, rate.IsAmbiguous, rate.Mark);
        return WithTail(text, body, start, bare, mark);
    }

    /// <summary>A duration with a spread, a bracket or a remark behind it.</summary>
    private static ValueReading WithTail(ReadOnlySpan<char> text, ReadOnlySpan<char> body, int start, double bare, DecimalMark mark)
    {
        var unreadable = new ValueReading(ValueKind.Unreadable, 0, 0, text.Length, false, null, false, DecimalMark.Unknown);
        if (body.IsEmpty || body.Length > 4 * DurationText.Longest)
            return unreadable;

        var spread = SpreadAt(body);
        if (spread > 0)
        {
            var middle = body[..spread].TrimEnd();
            if (!DurationText.TryRead(middle, bare, mark, out var value))
                return unreadable;
            if (!value.HasUnit && TailUnit(body[spread..]) is { } unit)
                value = value with { Seconds = value.Seconds / bare * unit, HasUnit = true, UnitSeconds = unit };
            return Time(value, bare, start, middle.Length) with { Remark = start + spread };
        }

        // "4 420 s, warm": first as a whole figure up to the remark, then as running text.
        var cut = body.IndexOfAny(s_tailMarks);
        if (cut < 0)
            cut = body.IndexOf(", ");
        if (cut > 0 && DurationText.TryRead(body[..cut], bare, mark, out var before))
            return Time(before, bare, start, body[..cut].TrimEnd().Length) with { Remark = start + cut };
        var length = DurationText.ReadPrefix(body, bare, mark, isWhole: false, out var prefix);
        if (length > 0 && length < body.Length && char.IsWhiteSpace(body[length]) && !PastedLine.ContainsDigit(body[length..])
            && (prefix.HasUnit || body[length..].TrimStart() is ['(' or '[', ..]))
            return Time(prefix, bare, start, length) with { Remark = start + length };
        return unreadable;
    }

    private static ValueReading Time(DurationReading duration, double bare, int start, int length) =>
        new(ValueKind.Time, duration.HasUnit ? duration.Seconds : duration.Seconds / bare, start, length,
            duration.HasUnit, duration.UnitSeconds, duration.IsAmbiguous, duration.Mark);

    /// <summary>6.2x, 6.2 ×, x6.2, 6.2-fold, 6.2 times.</summary>
    private static int Factor(ReadOnlySpan<char> text, DecimalMark mark, out NumberReading number)
    {
        number = default;
        if (text is ['x' or 'X' or '×', ..])
            return NumberText.TryRead(text[1..], mark, out number) ? text.Length : 0;
        foreach (var ending in (ReadOnlySpan<string>)["x", "×", "fold", "times", "times faster", "x faster"])
        {
            if (text.EndsWith(ending, StringComparison.OrdinalIgnoreCase) && NumberText.TryRead(text[..^ending.Length].TrimEnd(" -"), mark, out number))
                return text.Length;
        }

        return 0;
    }

    private static int Rate(ReadOnlySpan<char> text, DecimalMark mark, out NumberReading number)
    {
        number = default;
        var length = DurationText.NumberLength(text, isWhole: true);
        if (length == 0 || length == text.Length || Rates.UnitLength(text[length..]) != text.Length - length)
            return 0;
        if (!NumberText.TryRead(text[..length], mark, out number))
            return 0;
        number = number with { Value = number.Value * Rates.PerSecond(text[length..]) };
        return text.Length;
    }

    private static int SpreadAt(ReadOnlySpan<char> text)
    {
        foreach (var sign in (ReadOnlySpan<string>)["±", "+/-", "+-"])
        {
            var at = text.IndexOf(sign);
            if (at > 0)
                return at;
        }

        return -1;
    }

    /// <summary>The unit at the end of "± 0.2 s".</summary>
    private static double? TailUnit(ReadOnlySpan<char> text)
    {
        var start = text.Length;
        while (start > 0 && char.IsLetter(text[start - 1]))
            start--;
        return TimeUnits.TryFind(text[start..], out var seconds) ? seconds : null;
    }
}
