namespace Capacityplan.Core.Reading;

/// <summary>Changes a text at a place a reader named.</summary>
public static class TextEdit
{
    /// <summary>Puts a replacement where a span stands and leaves everything else, line breaks included, as it is.</summary>
    /// <param name="text">The text the span was read from.</param>
    /// <param name="span">The place; a length of 0 inserts, with a space where the replacement would run into a word or number.</param>
    /// <param name="replacement">What to put there.</param>
    /// <exception cref="ArgumentOutOfRangeException">The span does not lie inside one line of the text.</exception>
    public static string Replace(string text, TextSpan span, string replacement)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (span is { Line: >= 1, Column: >= 1, Length: >= 0 })
        {
            foreach (var (start, length) in TextLines.Of(text).Skip(span.Line - 1).Take(1))
            {
                if ((long)span.Column - 1 + span.Length <= length)
                {
                    var from = start + span.Column - 1;
                    var before = span.Length == 0 && from > start && char.IsLetterOrDigit(text[from - 1]) ? " " : "";
                    var after = span.Length == 0 && from < start + length && char.IsLetterOrDigit(text[from]) ? " " : "";
                    return string.Concat(text.AsSpan(0, from), $"{before}{replacement}{after}", text.AsSpan(from + span.Length));
                }
            }
        }

        throw new ArgumentOutOfRangeException(nameof(span), span, "The place has to lie inside one line of the text.");
    }
}
