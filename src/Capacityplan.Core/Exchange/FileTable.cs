using System.Collections.Immutable;

namespace Capacityplan.Core.Exchange;

/// <summary>A cell of a file.</summary>
/// <param name="Text">Its text; a number is written with a point before its decimals.</param>
/// <param name="IsNumber">True where the file itself says that it is a number, so that its marks leave nothing open.</param>
public readonly record struct FileCell(string Text, bool IsNumber = false)
{
    /// <summary>True where nothing stands in it.</summary>
    public bool IsBlank => string.IsNullOrWhiteSpace(Text);
}

/// <summary>A row of a file.</summary>
/// <param name="Number">Its number in the file, from 1: the line it begins on, or the sheet's row.</param>
/// <param name="Cells">Its cells; those after the last are blank.</param>
/// <param name="Place">Where it is in a file that has no rows, such as "machines[3]"; null for a table.</param>
public sealed record FileRow(int Number, ImmutableArray<FileCell> Cells, string? Place = null)
{
    /// <summary>The cell of a column; blank past the last.</summary>
    /// <param name="column">The column, from 0.</param>
    public FileCell this[int column] => column < Cells.Length ? Cells[column] : new FileCell("");

    /// <summary>True where every cell is blank.</summary>
    public bool IsBlank => Cells.All(cell => cell.IsBlank);
}

/// <summary>What a file with machines holds, before anybody says what its columns mean.</summary>
public sealed record FileTable
{
    /// <summary>The most rows that are read.</summary>
    public const int MostRows = 20_000;

    /// <summary>The most columns that are read.</summary>
    public const int MostColumns = 200;

    /// <summary>The longest text of a cell, UTF-16 code units.</summary>
    public const int LongestCell = 2_000;

    /// <summary>The rows that hold something, in the order of the file.</summary>
    public required ImmutableArray<FileRow> Rows { get; init; }

    /// <summary>What was found of note while it was opened.</summary>
    public ImmutableArray<Problem> Notes { get; init; } = [];

    /// <summary>True where the first row holds names of this program's own: the file's format says so.</summary>
    public bool HasNamedColumns { get; init; }

    /// <summary>True where semicolons part the columns, which is done where the comma stands before decimals.</summary>
    public bool IsPartedBySemicolons { get; init; }

    /// <summary>The number of columns.</summary>
    public int Columns => Rows.IsEmpty ? 0 : Rows.Max(row => row.Cells.Length);
}

/// <summary>A file that cannot be used, in words for whoever chose it.</summary>
public sealed class UnreadableFileException : Exception
{
    /// <summary>Says why.</summary>
    /// <param name="message">What is wrong, where, and what to do.</param>
    public UnreadableFileException(string message)
        : base(message)
    {
    }

    /// <summary>Says why.</summary>
    /// <param name="message">What is wrong, where, and what to do.</param>
    /// <param name="cause">What was thrown.</param>
    public UnreadableFileException(string message, Exception cause)
        : base(message, cause)
    {
    }
}
