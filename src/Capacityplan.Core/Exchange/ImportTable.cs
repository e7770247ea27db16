using System.Collections.Immutable;
using System.Globalization;

namespace Capacityplan.Core.Exchange;

/// <summary>A column of a file.</summary>
/// <param name="Number">Its number, from 1.</param>
/// <param name="Heading">Its heading; blank where the file has none.</param>
/// <param name="Samples">The first texts under it.</param>
/// <param name="Guess">What it was taken for.</param>
public sealed record ImportColumn(int Number, string Heading, ImmutableArray<string> Samples, ColumnChoice Guess)
{
    /// <summary>Its heading, or its number where it has none.</summary>
    public string Label => Heading.Length > 0 ? Heading : string.Create(CultureInfo.InvariantCulture, $"column {Number}");
}

/// <summary>A file's table with its headings found and the meaning of its columns guessed.</summary>
public sealed class ImportTable
{
    private const int RowsToSearch = 12;
    private const int RowsToSample = 200;
    private const int SamplesShown = 3;

    private ImportTable(FileTable file, ImmutableArray<ImportColumn> columns, ImmutableArray<FileRow> rows, ImmutableArray<Problem> notes) =>
        (File, Columns, Rows, Notes) = (file, columns, rows, notes);

    /// <summary>The file.</summary>
    public FileTable File { get; }

    /// <summary>Its columns.</summary>
    public ImmutableArray<ImportColumn> Columns { get; }

    /// <summary>The rows below the headings.</summary>
    public ImmutableArray<FileRow> Rows { get; }

    /// <summary>What is worth knowing of how it was opened.</summary>
    public ImmutableArray<Problem> Notes { get; }

    /// <summary>What the columns were taken for.</summary>
    public ImmutableArray<ColumnChoice> Guesses => [.. Columns.Select(column => column.Guess)];

    /// <summary>Finds the headings of a table.</summary>
    public static ImportTable Of(FileTable file)
    {
        var notes = ImmutableArray.CreateBuilder<Problem>();
        notes.AddRange(file.Notes);
        int columns = file.Columns;
        int head = HeadRow(file);
        string[] headings = [.. Enumerable.Range(0, columns).Select(column => head < 0 ? "" : file.Rows[head][column].Text.Trim())];
        int first = head + 1;
        if (head < 0)
        {
            notes.Add(new Problem(ProblemSeverity.Note, "No row of headings was found; what the columns mean was guessed from what stands in them."));
        }
        else
        {
            if (head > 0)
                notes.Add(Note(file.Rows[0].Number, head == 1 ? $"Row {file.Rows[0].Number} stands above the headings and is left out." : $"Rows {file.Rows[0].Number} to {file.Rows[head - 1].Number} stand above the headings and are left out."));
            if (!file.HasNamedColumns && first < file.Rows.Length && IsUnitRow(file.Rows[first]))
            {
                for (int column = 0; column < columns; column++)
                    headings[column] = $"{headings[column]} {file.Rows[first][column].Text.Trim()}".Trim();
                notes.Add(Note(file.Rows[first].Number, $"Row {file.Rows[first].Number} was read as a second row of headings."));
                first++;
            }
        }

        ImmutableArray<FileRow> rows = [.. file.Rows.Skip(first).Where(row => head < 0 || !IsSameAs(row, file.Rows[head]))];
        ImmutableArray<ImmutableArray<FileCell>> samples =
            [.. Enumerable.Range(0, columns).Select(column => rows.Take(RowsToSample).Select(row => row[column]).ToImmutableArray())];
        ImmutableArray<ColumnChoice> guesses = ColumnGuess.Of([.. headings], samples);
        return new ImportTable(
            file,
            [.. headings.Select((heading, column) => new ImportColumn(
                column + 1, heading, [.. samples[column].Where(cell => !cell.IsBlank).Select(cell => cell.Text.Trim()).Distinct().Take(SamplesShown)], guesses[column]))],
            rows, notes.ToImmutable());
    }

    /// <summary>The row with the most known headings; below 0 where no row has any.</summary>
    private static int HeadRow(FileTable file)
    {
        if (file.HasNamedColumns)
            return 0;
        int best = -1, most = 0;
        for (int index = 0; index < Math.Min(RowsToSearch, file.Rows.Length); index++)
        {
            FileCell[] texts = [.. file.Rows[index].Cells.Where(cell => !cell.IsBlank)];
            // Headings hold words; a row with figures under them is a machine, even one called “server”.
            if (texts.Any(cell => cell.IsNumber || Reading.NumberText.TryRead(cell.Text, out _)))
                continue;
            int known = texts.Count(cell => ColumnGuess.Score(cell.Text) > 0);
            if (known > most && (known > 1 || texts.Length == 1 || known * 2 >= texts.Length))
                (best, most) = (index, known);
        }

        return best;
    }

    /// <summary>True for a row of units under the headings: "GiB", "EUR/h", blanks.</summary>
    private static bool IsUnitRow(FileRow row)
    {
        FileCell[] texts = [.. row.Cells.Where(cell => !cell.IsBlank)];
        return texts.Length > 0 && row[0].IsBlank && texts.All(cell => !cell.IsNumber && HeadingTokens.Of(cell.Text).IsOfUnits);
    }

    private static bool IsSameAs(FileRow row, FileRow head) =>
        Enumerable.Range(0, Math.Max(row.Cells.Length, head.Cells.Length)).All(column => row[column].Text.Trim() == head[column].Text.Trim());

    private static Problem Note(int row, string message) => new(ProblemSeverity.Note, message, Line: row);
}
