using System.Collections.Immutable;
using System.Globalization;
using System.Text;

namespace Capacityplan.Core.Exchange;

/// <summary>
/// Reads text whose cells are parted by commas, semicolons, tabs or bars, with cells in quotation marks as RFC 4180 has
/// them: a quoted cell may hold the mark that parts cells and ends of lines, and a quotation mark in it is doubled.
/// </summary>
internal static class DelimitedText
{
    private const int RowsToJudge = 60;

    private static readonly char[] s_marks = [',', ';', '\t', '|'];

    /// <summary>Reads a table.</summary>
    /// <exception cref="UnreadableFileException">A quoted cell does not end, or the table passes a limit of <see cref="FileTable"/>.</exception>
    public static FileTable Read(string text, ImmutableArray<Problem> notes)
    {
        int start = 0;
        char? said = null;
        // A first line such as "sep=;" names the mark; common practice, no source.
        if (text.StartsWith("sep=", StringComparison.OrdinalIgnoreCase) && text.Length > 4 && Array.IndexOf(s_marks, text[4]) >= 0 && (text.Length == 5 || text[5] is '\r' or '\n'))
        {
            said = text[4];
            start = text.IndexOf('\n') is >= 0 and var end ? end + 1 : text.Length;
        }

        char mark = said ?? Mark(text);
        List<FileRow> rows = Rows(text, start, said is null ? 1 : 2, mark, FileTable.MostRows, isWhole: true);
        return new FileTable { Rows = [.. rows], Notes = notes, IsPartedBySemicolons = mark == ';' };
    }

    /// <summary>The mark that parts most rows into the same number of cells, more than one.</summary>
    private static char Mark(string text)
    {
        char best = ',';
        double bestScore = 0;
        foreach (char mark in s_marks)
        {
            List<FileRow> rows = Rows(text, 0, 1, mark, RowsToJudge, isWhole: false);
            if (rows.Count == 0)
                continue;
            IGrouping<int, FileRow> usual = rows.GroupBy(row => row.Cells.Length).OrderByDescending(group => group.Count()).ThenByDescending(group => group.Key).First();
            double score = usual.Key < 2 ? 0 : (double)usual.Count() / rows.Count + 0.01 * Math.Min(usual.Key, 20);
            if (score > bestScore)
                (best, bestScore) = (mark, score);
        }

        return best;
    }

    private static List<FileRow> Rows(string text, int start, int line, char mark, int most, bool isWhole)
    {
        var rows = new List<FileRow>();
        var cells = ImmutableArray.CreateBuilder<FileCell>();
        var cell = new StringBuilder();
        int at = start, rowLine = line;
        while (at < text.Length)
        {
            int quoteLine = line;
            bool isQuoted = text[at] == '"';
            if (isQuoted)
                at = Quoted(text, at + 1, cell, ref line);
            if (isQuoted && at < 0)
            {
                if (isWhole)
                    throw new UnreadableFileException(string.Create(CultureInfo.InvariantCulture, $"The quotation mark that opens a cell on line {quoteLine} is never closed. Close it, or double it if it belongs to the text."));
                return rows;
            }

            while (at < text.Length && text[at] != mark && text[at] is not ('\r' or '\n'))
                cell.Append(text[at++]);
            bool endsRow = at >= text.Length || text[at] is '\r' or '\n';
            Add(cells, cell, line, isWhole);
            if (!endsRow)
            {
                at++;
                // A mark at the very end of the text opens one more blank cell, which needs no keeping.
                if (at < text.Length)
                    continue;
            }

            var row = new FileRow(rowLine, cells.ToImmutable());
            cells.Clear();
            if (!row.IsBlank)
                rows.Add(row);
            if (rows.Count > most - (isWhole ? 0 : 1))
                return isWhole ? throw TooManyRows() : rows;
            if (at < text.Length && text[at] == '\r' && at + 1 < text.Length && text[at + 1] == '\n')
                at++;
            at++;
            rowLine = ++line;
        }

        return rows;
    }

    internal static UnreadableFileException TooManyRows() => new(string.Create(CultureInfo.InvariantCulture, $"The file has more than {FileTable.MostRows:#,0} rows. Keep those with machines."));

    /// <summary>Reads to the closing quotation mark.</summary>
    /// <returns>The place after it; below 0 where there is none.</returns>
    private static int Quoted(string text, int at, StringBuilder cell, ref int line)
    {
        while (at < text.Length)
        {
            if (text[at] == '"')
            {
                if (at + 1 >= text.Length || text[at + 1] != '"')
                    return at + 1;
                at++;
            }
            else if (text[at] == '\n' || (text[at] == '\r' && (at + 1 >= text.Length || text[at + 1] != '\n')))
            {
                line++;
            }

            cell.Append(text[at++]);
        }

        return -1;
    }

    private static void Add(ImmutableArray<FileCell>.Builder cells, StringBuilder cell, int line, bool isWhole)
    {
        if (isWhole && cell.Length > FileTable.LongestCell)
            throw new UnreadableFileException(string.Create(CultureInfo.InvariantCulture, $"A cell on line {line} is longer than {FileTable.LongestCell:#,0} characters. Is a quotation mark missing?"));
        if (isWhole && cells.Count >= FileTable.MostColumns)
            throw new UnreadableFileException(string.Create(CultureInfo.InvariantCulture, $"Line {line} has more than {FileTable.MostColumns} columns. Keep those that say something of machines."));
        cells.Add(new FileCell(TextGuard.Taken(cell.ToString())));
        cell.Clear();
    }
}
