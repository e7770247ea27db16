namespace Capacityplan.Core.Reading;

/// <summary>A piece of a line that stands for one figure or word.</summary>
/// <param name="Line">The line.</param>
/// <param name="Start">Where in <see cref="PastedLine.Text"/> it starts.</param>
/// <param name="Text">What stands there, without the spaces around it; empty where a table has a gap.</param>
internal readonly record struct Cell(PastedLine Line, int Start, string Text)
{
    // What typesetting leaves around a figure: Markdown's emphasis and code marks, "about" signs, a trailing footnote star.
    private const string Dressing = "*`~≈";

    /// <summary>How long it is in the line; its text may say more, as for a name inside a named object.</summary>
    public int Length { get; init; } = Text.Length;

    public TextSpan At => Line.Span(Start, Length);

    public bool IsEmpty => Text.Length == 0;

    /// <summary>The place of a part of the cell.</summary>
    public TextSpan Part(int start, int length) => Line.Span(Start + start, length);

    /// <summary>The cell between two places of a line, without spaces and typesetting marks around it.</summary>
    public static Cell Between(PastedLine line, int start, int end)
    {
        var text = line.Text;
        while (start < end && (char.IsWhiteSpace(text[start]) || Dressing.Contains(text[start], StringComparison.Ordinal)))
            start++;
        while (start < end && (char.IsWhiteSpace(text[end - 1]) || Dressing.Contains(text[end - 1], StringComparison.Ordinal)))
            end--;
        return new Cell(line, start, text[start..end]);
    }

    /// <summary>A gap at a place.</summary>
    public static Cell Gap(PastedLine line, int at) => new(line, at, "");
}

/// <summary>A row of a table.</summary>
/// <param name="Cells">Its cells, from left to right; rows need not be equally long.</param>
/// <param name="First">The line it begins on.</param>
/// <param name="Last">The line it ends on; the same one unless the row was an object or a column of the text.</param>
internal sealed record TableRow(Cell[] Cells, PastedLine First, PastedLine Last)
{
    public bool HasDigit { get; } = Array.Exists(Cells, cell => PastedLine.ContainsDigit(cell.Text));

    /// <summary>The cell of a column; a gap at the row's end where the row is too short.</summary>
    public Cell this[int column] => column < Cells.Length ? Cells[column] : Cell.Gap(Last, Last.Text.Length);
}
