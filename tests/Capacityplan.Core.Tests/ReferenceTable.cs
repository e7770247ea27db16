using System.Globalization;

namespace Capacityplan.Core.Tests;

/// <summary>A comma-separated table of the reference folder: a header line, then rows; no quoting.</summary>
internal sealed class ReferenceTable
{
    private readonly string[] _columns;
    private readonly string[] _cells;

    private ReferenceTable(string[] columns, string[] cells)
    {
        _columns = columns;
        _cells = cells;
    }

    public static IReadOnlyList<ReferenceTable> Rows(string path)
    {
        string[] lines = File.ReadAllLines(Path.Combine(AppContext.BaseDirectory, "reference", path));
        string[] columns = lines[0].Split(',');
        return [.. lines.Skip(1).Select(line => new ReferenceTable(columns, line.Split(',')))];
    }

    public string Text(string column) => _cells[Array.IndexOf(_columns, column)];

    public double Number(string column) => double.Parse(Text(column), CultureInfo.InvariantCulture);

    public override string ToString() => string.Join(',', _cells);
}
