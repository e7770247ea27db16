namespace Capacityplan.Core.Reading;

/// <summary>Turns tables that lie on their side, core counts along a row, so that they can be read like any other.</summary>
internal static class Transposition
{
    private const int MostRows = 100;
    private const int MostCells = 2_000_000;

    /// <summary>Reads rows as the columns of one table, or of several where core counts come again.</summary>
    public static Interpretation Read(IReadOnlyList<TableRow> rows, TableLayout layout, CellRule rule)
    {
        var result = new Interpretation { HintsAtDecimalComma = rule == CellRule.Semicolon };
        var wide = rows.Where(row => row.Cells.Length > 1 && row.First.CommentMark == 0).ToList();
        if (wide.Count is < 2 or > MostRows)
            return result;

        for (var start = 0; start < wide.Count;)
        {
            var end = start + 1;
            while (end < wide.Count && !(NamesCores(wide[end]) && wide.Skip(start).Take(end - start).Any(NamesCores)))
                end++;
            Merge(result, TableReader.Read(Turned(wide[start..end], rule), layout, rule: null), wide[start..end]);
            start = end;
        }

        return result;
    }

    private static void Merge(Interpretation result, Interpretation part, List<TableRow> rows)
    {
        var group = result.NextGroup();
        foreach (var run in part.Runs)
            result.Add(run with { Group = group });
        result.Findings.AddRange(part.Findings);
        part.Lines.IntersectWith(rows.Select(row => row.First.Number));
        result.Lines.UnionWith(part.Lines);
        result.IsSure |= part.IsSure;
        result.Plausibility = Math.Max(result.Plausibility, part.Plausibility);
    }

    private static bool NamesCores(TableRow row) => Heading.Read(WithLabelApart(row)[0].Text).Meaning is WordMeaning.Cores or WordMeaning.PerhapsCores;

    private static List<TableRow> Turned(List<TableRow> rows, CellRule rule)
    {
        var cells = rows.ConvertAll(row => rule == CellRule.Gap ? WithOneLabel(row) : WithLabelApart(row));
        var width = cells.Max(row => row.Count);

        // Numbers below "cores" are core counts of an upright table, whose other headings number the repeats.
        if (rows.Exists(NamesCores) && rows.TrueForAll(row => NamesCores(row) || CoresText.Read(row.Cells[0].Text).State == CoresState.Read))
            return [];
        // So they are below a row of headings alone, however broken the rows are.
        if (rows.Exists(row => NamesCores(row) && !row.Cells[1..].Any(cell => PastedLine.ContainsDigit(cell.Text))))
            return [];
        if ((long)width * rows.Count > MostCells)
            return [];

        // A row of core counts may lack the corner cell above the labels.
        foreach (var row in cells.Where(row => row.Count == width - 1 && CoresText.Read(row[0].Text).State == CoresState.Read))
        {
            if (cells.Any(other => other.Count == width && other[0].Text is [var first, ..] && char.IsLetter(first) && CoresText.Read(other[0].Text).State != CoresState.Read))
                row.Insert(0, Cell.Gap(row[0].Line, row[0].Start));
        }

        return [.. Enumerable.Range(0, width).Select(column => new TableRow(
            [.. cells.Select(row => column < row.Count ? row[column] : Cell.Gap(row[0].Line, row[0].Line.Text.Length))],
            rows[0].First, rows[^1].First))];
    }

    /// <summary>Parts the label from the first figure: "Cores: 1, 2, 4".</summary>
    private static List<Cell> WithLabelApart(TableRow row)
    {
        var (line, start, text) = row.Cells[0];
        var colon = text.IndexOfAny([':', '=']);
        if (colon <= 0 || !char.IsLetter(text[0]) || !PastedLine.ContainsDigit(text.AsSpan(colon)))
            return [.. row.Cells];
        return [Cell.Between(line, start, start + colon), Cell.Between(line, start + colon + 1, start + text.Length), .. row.Cells[1..]];
    }

    /// <summary>Draws the words that begin a row together: "time (s)" is one label.</summary>
    private static List<Cell> WithOneLabel(TableRow row)
    {
        var words = 0;
        while (words < row.Cells.Length && row.Cells[words].Text is [var first, ..] && !char.IsDigit(first) && CoresText.Read(row.Cells[words].Text).State != CoresState.Read)
            words++;
        if (words < 2)
            return [.. row.Cells];
        var label = Cell.Between(row.First, row.Cells[0].Start, row.Cells[words - 1].Start + row.Cells[words - 1].Length);
        return [label, .. row.Cells[words..]];
    }
}
