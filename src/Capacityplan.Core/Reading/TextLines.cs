namespace Capacityplan.Core.Reading;

/// <summary>
/// The one rule for what a line is: lines end with a line feed, a carriage return, or both in that order. A text always has
/// at least one line, and a last line break opens an empty one.
/// </summary>
internal static class TextLines
{
    /// <summary>The lines of a text, as ranges that leave out the line breaks.</summary>
    public static IEnumerable<(int Start, int Length)> Of(string text)
    {
        var start = 0;
        while (true)
        {
            var end = text.AsSpan(start).IndexOfAny('\r', '\n');
            if (end < 0)
                break;
            yield return (start, end);
            start += end + 1;
            if (text[start - 1] == '\r' && start < text.Length && text[start] == '\n')
                start++;
        }

        yield return (start, text.Length - start);
    }
}
