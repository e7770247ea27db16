namespace Capacityplan.Core.Reading;

/// <summary>Reads tables: rows of cells, with or without headings, several tables under one another.</summary>
internal static class TableReader
{
    // Repeats as columns beyond this are left aside; wider rows are the lines of a table lying on its side.
    private const int MostColumns = 256;

    /// <summary>Reads rows.</summary>
    /// <param name="rows">The rows, in the order of the text.</param>
    /// <param name="layout">How the table lies in the text.</param>
    /// <param name="rule">What parted the cells; null where something else than a mark did.</param>
    public static Interpretation Read(IReadOnlyList<TableRow> rows, TableLayout layout, CellRule? rule)
    {
        var result = new Interpretation { HintsAtDecimalComma = rule == CellRule.Semicolon };
        for (var at = 0; at < rows.Count;)
        {
            var heading = TableHeading.At(rows, at, layout, rule);
            var start = at + heading.Rows;
            var end = start;
            while (end < rows.Count && (end == start || !TableHeading.BeginsAt(rows, end, layout, rule)))
                end++;
            var data = new List<TableRow>();
            for (var row = start; row < end; row++)
            {
                if (rows[row].First.CommentMark == 0 && rows[row].Cells.Length > 0)
                    data.Add(rows[row]);
            }

            ReadSection(result, heading, data, layout);
            at = Math.Max(end, at + 1);
        }

        return result;
    }

    private static void ReadSection(Interpretation result, TableHeading heading, List<TableRow> rows, TableLayout layout)
    {
        var sample = rows.Where(row => row.HasDigit).Take(ColumnProfile.SampleRows).ToList();
        if (sample.Count == 0)
            return;
        if (sample.Find(row => row.Cells.Length > MostColumns) is { } wide && !layout.IsTransposed)
            result.Findings.Add(new Finding(FindingKind.UnusedColumn, wide.Cells[MostColumns].At, $"What stands past column {MostColumns}"));
        var columns = Math.Min(MostColumns, Math.Max(heading.Texts.Count, sample.Max(row => row.Cells.Length)));
        var profiles = new ColumnProfile[columns];
        for (var column = 0; column < columns; column++)
            profiles[column] = ColumnProfile.Of(sample, column);
        var roles = new ColumnRoleFinder(heading.TextsFor(columns), profiles, layout).Find();
        if (roles is null)
            return;

        var section = new TableSection(result, heading, roles, layout, result.NextGroup());
        foreach (var row in rows)
            section.Read(row);
        section.Finish(rows);
    }
}
