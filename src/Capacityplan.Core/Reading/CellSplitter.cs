using System.Buffers;

namespace Capacityplan.Core.Reading;

/// <summary>What parts the cells of a line.</summary>
internal enum CellRule
{
    Tab,
    Semicolon,

    /// <summary>Vertical bars: Markdown, and tables drawn with box characters.</summary>
    Bar,

    /// <summary>A comma and a space, so that decimal commas survive.</summary>
    CommaSpace,

    Comma,

    /// <summary>Two spaces or more, or a tab.</summary>
    WideGap,

    /// <summary>Any space, except inside a duration such as "6h 28m".</summary>
    Gap,
}

/// <summary>Takes lines apart into cells.</summary>
internal static class CellSplitter
{
    private static readonly SearchValues<char> s_bars = SearchValues.Create("|│┃║╎╏┆┇┊¦");

    /// <summary>The cells of a line; one cell where nothing parts it.</summary>
    public static Cell[] Split(PastedLine line, CellRule rule) => rule switch
    {
        CellRule.Bar => Bars(line),
        CellRule.WideGap => Gaps(line, wide: true),
        CellRule.Gap => Gaps(line, wide: false),
        _ => Marks(line, rule),
    };

    /// <summary>False where the rule surely leaves a line whole.</summary>
    public static bool MayPart(ReadOnlySpan<char> text, CellRule rule) => rule switch
    {
        CellRule.Tab => text.Contains('\t'),
        CellRule.Semicolon => text.Contains(';'),
        CellRule.Bar => text.ContainsAny(s_bars),
        CellRule.CommaSpace => text.Contains(", ", StringComparison.Ordinal),
        CellRule.Comma => text.Contains(','),
        CellRule.WideGap => text.Contains("  ", StringComparison.Ordinal) || text.Contains('\t'),
        _ => true,
    };

    private static Cell[] Bars(PastedLine line)
    {
        var text = line.Text;
        var start = line.CommentMark > 0 ? text.Length - text.AsSpan().TrimStart().Length + line.CommentMark : 0;
        var cells = new List<Cell>();
        var isFirst = true;
        for (var at = start; at <= text.Length; at++)
        {
            if (at < text.Length && !s_bars.Contains(text[at]))
                continue;

            // The bars at both ends of a line frame it; they do not part cells.
            var isFrame = (isFirst && at < text.Length || at == text.Length) && text.AsSpan(start, at - start).IsWhiteSpace();
            if (!isFrame)
                cells.Add(Cell.Between(line, start, at));
            isFirst = false;
            start = at + 1;
        }

        return [.. cells];
    }

    private static Cell[] Marks(PastedLine line, CellRule rule)
    {
        var text = line.Text;
        var mark = rule switch { CellRule.Tab => '\t', CellRule.Semicolon => ';', _ => ',' };
        var cells = new List<Cell>();
        var start = line.CommentMark > 0 ? text.Length - text.AsSpan().TrimStart().Length + line.CommentMark : 0;
        while (true)
        {
            var end = QuoteEnd(text, start);
            end = text.IndexOf(mark, end);
            while (rule == CellRule.CommaSpace && end >= 0 && end + 1 < text.Length && !char.IsWhiteSpace(text[end + 1]))
                end = text.IndexOf(mark, end + 1);
            var isLast = end < 0;
            cells.Add(Unquoted(Cell.Between(line, start, isLast ? text.Length : end)));
            if (isLast)
                return [.. cells];
            start = end + 1;
        }
    }

    /// <summary>Where the quoted part a cell begins with ends; its start where it is not quoted, or the quote never closes.</summary>
    private static int QuoteEnd(string text, int start)
    {
        var open = start;
        while (open < text.Length && text[open] == ' ')
            open++;
        if (open >= text.Length || text[open] != '"')
            return start;
        var close = text.IndexOf('"', open + 1);
        while (close >= 0 && close + 1 < text.Length && text[close + 1] == '"')
            close = text.IndexOf('"', close + 2);
        return close < 0 ? start : close;
    }

    private static Cell Unquoted(Cell cell) => cell.Text is ['"', .., '"'] && cell.Text.Length >= 2
        ? Cell.Between(cell.Line, cell.Start + 1, cell.Start + cell.Text.Length - 1)
        : cell;

    private static Cell[] Gaps(PastedLine line, bool wide)
    {
        var text = line.Text;
        var start = text.Length - text.AsSpan().TrimStart().Length + line.CommentMark;
        var cells = new List<Cell>();
        var tokens = wide ? [] : line.Tokens;
        var token = 0;
        for (var at = start; at <= text.Length;)
        {
            var gap = at == text.Length ? 0 : GapLength(text, at, wide);
            if (at < text.Length && gap == 0)
            {
                at++;
                continue;
            }

            while (token < tokens.Length && tokens[token].End <= at)
                token++;
            var isInside = token < tokens.Length && tokens[token].Start < at;
            if (!isInside || at == text.Length)
            {
                if (at > start)
                    cells.Add(Cell.Between(line, start, at));
                start = at + gap;
            }

            at += Math.Max(1, gap);
        }

        return [.. cells];
    }

    private static int GapLength(string text, int at, bool wide)
    {
        var end = at;
        var isWide = false;
        while (end < text.Length && char.IsWhiteSpace(text[end]))
        {
            isWide |= text[end] == '\t' || end > at;
            end++;
        }

        return wide && !isWide ? 0 : end - at;
    }
}
