namespace Capacityplan.Core.Reading;

/// <summary>The heading of a table.</summary>
/// <param name="Rows">How many rows it takes; 0 where there is none.</param>
/// <param name="Cells">The cells of its first row, one to a column.</param>
/// <param name="Texts">What stands above each column, further rows of the heading included.</param>
internal sealed record TableHeading(int Rows, IReadOnlyList<Cell> Cells, IReadOnlyList<string> Texts)
{
    private const int MostRows = 3;
    private const int MostWords = 16;
    private static readonly TableHeading s_none = new(0, [], []);

    /// <summary>The heading that begins at a row, rows below it that only add units or words included.</summary>
    public static TableHeading At(IReadOnlyList<TableRow> rows, int at, TableLayout layout, CellRule? rule)
    {
        if (HeadingCells(rows, at, layout, rule) is not { } cells)
            return s_none;
        var texts = cells.Select(cell => cell.Text).ToList();
        var count = 1;
        while (count < MostRows && at + count + 1 < rows.Count && rows[at + count] is { HasDigit: false } row
            && Fitting(row, texts.Count, rule) is { } further && !further.Any(cell => HeadingWords.IsCores(cell.Text)))
        {
            for (var column = 0; column < texts.Count; column++)
                texts[column] = $"{texts[column]} {further[column].Text}".Trim();
            count++;
        }

        return new TableHeading(count, cells, texts);
    }

    /// <summary>True where a further table begins at a row, with a heading of words that are known.</summary>
    public static bool BeginsAt(IReadOnlyList<TableRow> rows, int at, TableLayout layout, CellRule? rule) =>
        rows[at].Cells.Length > 0 && rows[at].Cells[0].Text is [var first, ..] && !char.IsDigit(first)
        && HeadingCells(rows, at, layout, rule) is not null;

    /// <summary>The texts, one for each of so many columns; none where there is no heading.</summary>
    public IReadOnlyList<string> TextsFor(int columns) =>
        Rows == 0 ? [] : [.. Texts.Take(columns), .. Enumerable.Repeat("", Math.Max(0, columns - Texts.Count))];

    private static IReadOnlyList<Cell>? HeadingCells(IReadOnlyList<TableRow> rows, int at, TableLayout layout, CellRule? rule)
    {
        IReadOnlyList<Cell> cells = rows[at].Cells;
        if (at > 0 && !rows[at].First.HasHeadingWord)
            return null;
        if (NextWithFigures(rows, at) is not { } next)
            return null;
        cells = Fitting(rows[at], next.Cells.Length, rule) ?? cells;
        if (cells.Count < 2)
            return null;

        var headings = cells.Select(cell => Heading.Read(cell.Text)).ToList();
        var cores = headings.FindIndex(heading => heading.Meaning is WordMeaning.Cores or WordMeaning.PerhapsCores);
        var known = 0;
        for (var column = 0; column < cells.Count; column++)
        {
            var text = cells[column].Text;
            var isNumbered = cores >= 0 && cores < column && !layout.IsTransposed;
            if (PastedLine.ContainsDigit(text) && !MayHead(text, headings[column], isNumbered))
                return null;
            if (headings[column].IsKnown && !IsPlainNumber(text))
                known++;
        }

        // A heading whose words are all unknown is taken only where it tops the text and fits the columns.
        if (known == 0)
            return at == 0 && cells.Count == next.Cells.Length && cells.All(cell => cell.Text.Any(char.IsLetter)) ? cells : null;
        if (cells.Any(cell => IsPlainNumber(cell.Text)) && CoresText.Read(next[cores].Text).State != CoresState.Read)
            return null;
        return layout.IsLoose && 2 * known < cells.Count ? null : cells;
    }

    /// <summary>The next row that holds figures, if it is close.</summary>
    private static TableRow? NextWithFigures(IReadOnlyList<TableRow> rows, int at)
    {
        for (var row = at + 1; row < rows.Count && row <= at + MostRows; row++)
        {
            if (rows[row].First.CommentMark == 0 && rows[row].HasDigit)
                return rows[row];
        }

        return null;
    }

    /// <summary>"run 1" and "T1" may head a column, and plain numbers may number repeats; "8 cores" and "12.4 s" are figures.</summary>
    private static bool MayHead(string text, Heading heading, bool isNumbered)
    {
        if (IsPlainNumber(text))
            return isNumbered;
        return heading.IsKnown && char.IsLetter(text[0])
            && (heading.Meaning is not (WordMeaning.Cores or WordMeaning.PerhapsCores) || CoresText.Read(text).State != CoresState.Read)
            && ValueText.Read(text, null, DecimalMark.Unknown).Kind == ValueKind.Unreadable;
    }

    private static bool IsPlainNumber(string text) => text.Length is > 0 and <= 6 && text.All(char.IsDigit);

    /// <summary>The cells of a row, drawn together to so many where only spaces part them; null where there are not so many.</summary>
    private static IReadOnlyList<Cell>? Fitting(TableRow row, int columns, CellRule? rule) =>
        row.Cells.Length == columns ? row.Cells
        : rule is CellRule.Gap or CellRule.WideGap ? Regrouped(row.First, columns)
        : null;

    /// <summary>The words of a heading that spaces part, drawn together until there are as many as columns; null where that fails.</summary>
    private static List<Cell>? Regrouped(PastedLine line, int columns)
    {
        var wide = CellSplitter.Split(line, CellRule.WideGap);
        if (wide.Length == columns)
            return [.. wide];
        var cells = CellSplitter.Split(line, CellRule.Gap).ToList();
        if (cells.Count > MostWords)
            return null;
        while (cells.Count > columns && Enumerable.Range(1, cells.Count - 1).MinBy(at => Distance(cells[at - 1], cells[at])) is var right
            && Distance(cells[right - 1], cells[right]) < 9)
        {
            cells[right - 1] = Cell.Between(line, cells[right - 1].Start, cells[right].Start + cells[right].Text.Length);
            cells.RemoveAt(right);
        }

        return cells.Count == columns ? cells : null;
    }

    /// <summary>How little two neighbouring words of a heading belong together; 9 where they do not.</summary>
    private static int Distance(Cell left, Cell right)
    {
        if (right.Text is ['(' or '[' or '/', ..] || left.Text is "#")
            return 0;
        var one = Heading.Read(left.Text).Meaning;
        var other = Heading.Read(right.Text).Meaning;
        return one == other && one != WordMeaning.None ? 1
            : one == WordMeaning.Run && other == WordMeaning.Time ? 2
            : int.TryParse(right.Text, out _) ? 3
            : one == WordMeaning.None || other == WordMeaning.None ? 4
            : 9;
    }
}
