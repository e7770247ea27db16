using System.Text;

namespace Capacityplan.Core.Reading;

/// <summary>
/// One line of a pasted text as a person sees it: colour codes of terminals, characters without width and a comment at its
/// end are gone, yet every place in it still names its place in the text as pasted.
/// </summary>
internal sealed class PastedLine
{
    // Null where nothing was taken out before the end, so that columns are plain offsets.
    private readonly int[]? _columns;
    private LineToken[]? _tokens;
    private bool? _hasHeadingWord;

    private PastedLine(int number, string text, int[]? columns)
    {
        Number = number;
        Text = text;
        _columns = columns;
        var body = text.AsSpan().TrimStart();
        CommentMark = body.StartsWith("//") ? 2 : body.StartsWith("#") ? body.Length - body.TrimStart('#').Length : 0;
        HasDigit = ContainsDigit(text);
        IsRule = !HasDigit && !text.AsSpan().ContainsAnyLetter();
    }

    /// <summary>Line number, from 1.</summary>
    public int Number { get; }

    /// <summary>What is seen of it.</summary>
    public string Text { get; }

    /// <summary>Length of the mark that makes the whole line a comment or a Markdown heading; 0 where none does.</summary>
    public int CommentMark { get; }

    public bool HasDigit { get; }

    /// <summary>True for a line without a letter or digit: blank, or a rule of a table.</summary>
    public bool IsRule { get; }

    /// <summary>The line in words, numbers and durations.</summary>
    public LineToken[] Tokens => _tokens ??= LineLexer.Tokens(Text);

    /// <summary>True where some word of the line says what a column holds.</summary>
    public bool HasHeadingWord => _hasHeadingWord ??= Heading.HasKnownWord(Text);

    /// <summary>Takes a text apart.</summary>
    public static PastedLine[] Split(string text)
    {
        // Some terminals and pages lose the escape character of colour codes and leave the rest of them in the text.
        var hasBareCodes = text.Contains("[0m", StringComparison.Ordinal);
        var lines = new List<PastedLine>();
        foreach (var (start, length) in TextLines.Of(text))
            lines.Add(See(lines.Count + 1, text.AsSpan(start, length), hasBareCodes));
        return [.. lines];
    }

    /// <summary>The place in the pasted text of a part of <see cref="Text"/>.</summary>
    public TextSpan Span(int start, int length)
    {
        if (_columns is null)
            return new TextSpan(Number, start + 1, length);
        var from = _columns[start];
        var to = length > 0 ? _columns[start + length - 1] + 1 : from;
        return new TextSpan(Number, from + 1, to - from);
    }

    /// <summary>The place of all that is seen of the line, without the spaces around it.</summary>
    public TextSpan Span()
    {
        var start = Text.Length - Text.AsSpan().TrimStart().Length;
        return Span(start, Math.Max(0, Text.AsSpan().TrimEnd().Length - start));
    }

    public static bool ContainsDigit(ReadOnlySpan<char> text)
    {
        foreach (var symbol in text)
        {
            if (char.IsDigit(symbol))
                return true;
        }

        return false;
    }

    private static PastedLine See(int number, ReadOnlySpan<char> line, bool hasBareCodes)
    {
        if (!line.ContainsAnyUnseen() && !(hasBareCodes && line.Contains('[')))
            return new PastedLine(number, line[..CommentStart(line)].ToString(), null);

        var seen = new StringBuilder(line.Length);
        var columns = new List<int>(line.Length + 1);
        for (var i = 0; i < line.Length;)
        {
            var unseen = hasBareCodes && line[i] == '[' ? BareCodeLength(line[i..]) : UnseenLength(line[i..]);
            if (unseen == 0)
            {
                seen.Append(line[i]);
                columns.Add(i);
            }

            i += Math.Max(1, unseen);
        }

        columns.Add(line.Length);
        var text = seen.ToString();
        return new PastedLine(number, text[..CommentStart(text)], [.. columns]);
    }

    /// <summary>Where a comment after something else begins: a mark between spaces, so that "run #3" is none.</summary>
    private static int CommentStart(ReadOnlySpan<char> text)
    {
        for (var i = 1; i + 1 < text.Length; i++)
        {
            if (!char.IsWhiteSpace(text[i - 1]))
                continue;
            var length = text[i] == '#' ? 1 : text[i] == '/' && text[i + 1] == '/' ? 2 : 0;
            if (length > 0 && i + length < text.Length && char.IsWhiteSpace(text[i + length]) && !text[..i].Trim().IsEmpty)
                return text[..i].TrimEnd().Length;
        }

        return text.Length;
    }

    /// <summary>
    /// Length of a control sequence, control string or two-character escape of ECMA-48 the text begins with, or of a
    /// character without width; 0 where it begins with something seen.
    /// </summary>
    private static int UnseenLength(ReadOnlySpan<char> text)
    {
        var first = text[0];
        if (IsWithoutWidth(first))
            return 1;
        if (first == '\u009B')
            return 1 + ControlSequenceLength(text[1..]);
        if (first != '\u001B')
            return 0;
        if (text.Length == 1)
            return 1;
        return text[1] switch
        {
            '[' => 2 + ControlSequenceLength(text[2..]),
            ']' or 'P' or '_' or '^' or 'X' => 2 + ControlStringLength(text[2..]),
            >= ' ' and <= '~' => 2,
            _ => 1,
        };
    }

    /// <summary>Length of a colour code without its escape character, "[1;32m"; 0 where there is none.</summary>
    private static int BareCodeLength(ReadOnlySpan<char> text)
    {
        var at = 1;
        while (at < text.Length && (char.IsAsciiDigit(text[at]) || text[at] == ';'))
            at++;
        return at < text.Length && text[at] == 'm' ? at + 1 : 0;
    }

    private static int ControlSequenceLength(ReadOnlySpan<char> text)
    {
        var at = 0;
        while (at < text.Length && text[at] is >= ' ' and <= '?')
            at++;
        return at < text.Length && text[at] is >= '@' and <= '~' ? at + 1 : at;
    }

    private static int ControlStringLength(ReadOnlySpan<char> text)
    {
        var end = text.IndexOfAny('\u0007', '\u001B');
        if (end < 0)
            return text.Length;
        return text[end] == '\u001B' && end + 1 < text.Length && text[end + 1] == '\\' ? end + 2 : end + 1;
    }

    /// <summary>Soft hyphen, zero-width spaces and joiners, direction marks, byte order mark.</summary>
    public static bool IsWithoutWidth(char symbol) =>
        symbol is '\u00AD' or (>= '\u200B' and <= '\u200F') or (>= '\u202A' and <= '\u202E') or (>= '\u2060' and <= '\u2064') or '\uFEFF';
}

/// <summary>Questions about a run of characters.</summary>
file static class Characters
{
    public static bool ContainsAnyLetter(this ReadOnlySpan<char> text)
    {
        foreach (var symbol in text)
        {
            if (char.IsLetter(symbol))
                return true;
        }

        return false;
    }

    public static bool ContainsAnyUnseen(this ReadOnlySpan<char> text)
    {
        foreach (var symbol in text)
        {
            if (symbol is '\u001B' or '\u009B' || PastedLine.IsWithoutWidth(symbol))
                return true;
        }

        return false;
    }
}
