using System.Collections.Immutable;
using Capacityplan.Core.Exchange;
using Capacityplan.Core.Machines;

namespace Capacityplan.Web.Catalogues;

/// <summary>A file between being chosen and being taken into a catalogue: what its columns are taken for, and what comes of it.</summary>
public sealed class ImportStep
{
    private ImmutableArray<ColumnChoice> _columns;
    private ImportChoices _choices = new();

    private ImportStep(string file, ImportTable table)
    {
        (File, Table, _columns) = (file, table, table.Guesses);
        Import = Read();
    }

    /// <summary>What the file is called.</summary>
    public string File { get; }

    /// <summary>The file.</summary>
    public ImportTable Table { get; }

    /// <summary>What its columns are taken for.</summary>
    public ImmutableArray<ColumnChoice> Columns => _columns;

    /// <summary>What the file leaves out.</summary>
    public ImportChoices Choices => _choices;

    /// <summary>The machines it makes.</summary>
    public CatalogueImport Import { get; private set; }

    /// <summary>True where amounts name no currency, or one was typed for them.</summary>
    public bool AsksForCurrency => _choices.Currency.Length > 0
        || Import.Machines.Any(machine => (machine.PricePerHour.Length > 0 && machine.Currency.Length == 0) || machine.Further.Any(way => way.Currency.Length == 0));

    /// <summary>True where only one of threads and cores has a column.</summary>
    public bool AsksForThreads => Has(MachineField.HardwareThreads) != Has(MachineField.PhysicalCores);

    /// <summary>Opens a file.</summary>
    /// <param name="file">What it is called.</param>
    /// <param name="content">Its bytes.</param>
    /// <exception cref="UnreadableFileException">It cannot be used.</exception>
    public static ImportStep Open(string file, byte[] content) => new(file, ImportTable.Of(CatalogueFile.Open(content)));

    /// <summary>Takes a column for something else, with the catalogue's own unit.</summary>
    /// <param name="column">The column, from 0.</param>
    /// <param name="key">The meaning's key; blank leaves the column out.</param>
    public void Mean(int column, string key) => Choose(column, ColumnChoice.Of(ColumnMeaning.OfKey(key)));

    /// <summary>Says what bare numbers of a column count.</summary>
    /// <param name="column">The column, from 0.</param>
    /// <param name="unit">The unit's words; others change nothing.</param>
    public void Count(int column, string unit)
    {
        if (_columns[column].Meaning.Units.FirstOrDefault(one => one.Words == unit) is { } found)
            Choose(column, _columns[column] with { Unit = found });
    }

    /// <summary>Says what the file leaves out.</summary>
    public void Say(ImportChoices choices)
    {
        _choices = choices;
        Import = Read();
    }

    private bool Has(MachineField field) => _columns.Any(column => column.Meaning.Field == field);

    private void Choose(int column, ColumnChoice choice)
    {
        _columns = _columns.SetItem(column, choice);
        Import = Read();
    }

    private CatalogueImport Read() => CatalogueImport.Read(Table, _columns, _choices);
}
