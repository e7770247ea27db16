using System.Collections.Immutable;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Exchange;

/// <summary>What the file leaves out and whoever imports it may say.</summary>
/// <param name="Currency">Currency of amounts that name none, as typed; blank where it is to be typed later.</param>
/// <param name="ThreadsPerCore">Hardware threads of a physical core, where the file has only one of the two counts; null where
/// the other is to be typed later.</param>
public sealed record ImportChoices(string Currency = "", int? ThreadsPerCore = null);

/// <summary>Something wrong or doubtful in a file, and where it is.</summary>
/// <param name="Row">The row's number in the file; 0 where it concerns the file.</param>
/// <param name="Column">The column's number, from 1; 0 where it concerns the row.</param>
/// <param name="Place">The same in words: "row 7, “Price (EUR/h)”".</param>
/// <param name="Problem">What it is.</param>
public sealed record ImportProblem(int Row, int Column, string Place, Problem Problem);

/// <summary>
/// A file read as machines, by what its columns are taken to mean. A row is a machine with a way to pay for it; rows of one
/// name gather their ways. What cannot be understood stays as text in the machine's cells, so that nothing of the file is
/// lost.
/// </summary>
public sealed record CatalogueImport
{
    /// <summary>The list's name, as the file has it; blank where it says none.</summary>
    public required string Name { get; init; }

    /// <summary>The day of the prices, as text; blank where the file says none.</summary>
    public required string PricesOf { get; init; }

    /// <summary>Whether the prices are invented; null where the file does not say.</summary>
    public required bool? PricesAreInvented { get; init; }

    /// <summary>The machines and rates as texts, and what they were understood as.</summary>
    public required CatalogueDraftReading Reading { get; init; }

    /// <summary>What is wrong or doubtful, in the order of the file.</summary>
    public required ImmutableArray<ImportProblem> Problems { get; init; }

    /// <summary>The machines as texts, in the order of the file.</summary>
    public ImmutableArray<MachineDraft> Machines => Reading.Draft.Machines;

    /// <summary>The conversion rates as texts.</summary>
    public ImmutableArray<RateDraft> Rates => Reading.Draft.Rates;

    /// <summary>The row of the file each machine begins on.</summary>
    public required ImmutableArray<int> MachineRows { get; init; }

    /// <summary>How many of the machines can be used as they are.</summary>
    public int Whole => Reading.Catalogue.Machines.Length;

    /// <summary>Reads the rows.</summary>
    /// <param name="table">The file.</param>
    /// <param name="columns">What its columns mean, one entry for each.</param>
    /// <param name="choices">What the file leaves out.</param>
    public static CatalogueImport Read(ImportTable table, ImmutableArray<ColumnChoice> columns, ImportChoices choices)
    {
        var gathering = new ImportGathering(table, columns, choices);
        foreach (FileRow row in table.Rows)
            gathering.Take(row);
        return gathering.Finish();
    }
}
