using System.Collections.Immutable;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Exchange;

/// <summary>A row of a file by what its columns mean: figures rewritten as the catalogue's cells have them.</summary>
internal sealed class ImportRow
{
    private readonly Dictionary<MachineField, string> _texts = [];
    private readonly Dictionary<MachineField, int> _columns = [];
    private readonly Dictionary<ColumnMeaning, string> _list = [];

    /// <param name="row">The row.</param>
    /// <param name="columns">What the columns mean.</param>
    /// <param name="currencies">The currency each column's heading names; null for none.</param>
    /// <param name="mark">The file's decimal mark.</param>
    public ImportRow(FileRow row, ImmutableArray<ColumnChoice> columns, ImmutableArray<string?> currencies, DecimalMark mark)
    {
        Row = row;
        string? beside = null, heading = null;
        for (int column = 0; column < columns.Length; column++)
        {
            FileCell cell = row[column];
            ColumnMeaning meaning = columns[column].Meaning;
            if (cell.IsBlank || meaning == ColumnMeaning.LeftOut)
                continue;
            string text = cell.Text.Trim();
            if (meaning.IsFigure)
            {
                text = ImportFigure.Plain(cell, columns[column].Unit, mark, out string? currency);
                beside ??= currency;
                heading ??= currencies[column];
            }

            if (meaning.Field is { } field)
            {
                if (_texts.TryAdd(field, text))
                    _columns[field] = column;
            }
            else
            {
                _list.TryAdd(meaning, text);
            }
        }

        ImpliedCurrency = beside ?? heading;
    }

    public FileRow Row { get; }

    /// <summary>The currency that a sign beside an amount, or the heading of one, says; null for none.</summary>
    public string? ImpliedCurrency { get; }

    /// <summary>The name; blank where the row has none.</summary>
    public string Name => this[MachineField.Name];

    /// <summary>True where nothing of a machine stands in it.</summary>
    public bool SaysNothingOfAMachine => _texts.Count == 0;

    /// <summary>True where nothing of the machine itself stands in it, only of a way to pay.</summary>
    public bool IsOnlyAWayToPay => _texts.Count > 0 && !_texts.Keys.Any(ImportGathering.MachineFields.Contains);

    /// <summary>The text of a field; blank where the row has none.</summary>
    public string this[MachineField field] => _texts.GetValueOrDefault(field, "");

    /// <summary>What the row says of the list; blank where it says nothing.</summary>
    public string this[ColumnMeaning meaning] => _list.GetValueOrDefault(meaning, "");

    /// <summary>The column a field stands in; below 0 where it stands in none.</summary>
    public int ColumnOf(MachineField field) => _columns.GetValueOrDefault(field, -1);

    public bool Has(MachineField field) => _texts.ContainsKey(field);
}
