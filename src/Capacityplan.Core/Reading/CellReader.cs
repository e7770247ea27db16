using System.Globalization;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Reading;

/// <summary>Reads the cells of one machine and its ways to pay, and gathers what is wrong with them.</summary>
internal sealed class CellReader
{
    private const double MostSpeed = 100;
    private const double MostMemoryGiB = 1e7;
    private const double MostBandwidthGBps = 1e6;

    private readonly int _row;
    private readonly MachineDraft _draft;
    private readonly List<CellProblem> _problems = [];

    public CellReader(int row, MachineDraft draft) => (_row, _draft) = (row, draft);

    public IReadOnlyList<CellProblem> Problems => _problems;

    /// <summary>Where a cell is, as the HTTP API names it: "machines[3].memoryGiB".</summary>
    public static string Path(int row, MachineField field) =>
        string.Create(CultureInfo.InvariantCulture, $"machines[{row}].{(field >= MachineField.PricePerHour ? "purchase[0]." : "")}{FieldNames.Of(field)}");

    /// <summary>The machine; null where a cell is missing or cannot be read.</summary>
    public MachineType? Read()
    {
        // Texts that were only shown and not typed are the machine they were made from, to the last digit.
        if (_draft.Kept is { } shown && MachineDraft.Of(shown).ReadsAs(_draft))
            return shown;

        var cells = new FigureReader(_row, 0, field => Path(_row, field), field => _draft[field], _problems);
        string name = _draft.Name.Trim();
        if (name.Length == 0)
            cells.Refuse(MachineField.Name, "A machine needs a name.");
        int? threads = cells.Whole(MachineField.HardwareThreads, "16");
        int? cores = cells.Whole(MachineField.PhysicalCores, "8");
        double? speed = cells.Number(MachineField.RelativeCoreSpeed, "0.85", MostSpeed, blank: 1);
        double? memory = cells.Memory(MachineField.Memory, MostMemoryGiB);
        double? bandwidth = cells.Number(MachineField.MemoryBandwidth, "200", MostBandwidthGBps);
        double? startUp = cells.Duration(MachineField.StartUp, "45", blank: 0);
        List<PurchaseOption> purchase = ReadPurchase(cells);
        if (cores > threads)
            cells.Note(MachineField.PhysicalCores, $"More cores than hardware threads: {threads.Value.ToString("#,0", CultureInfo.InvariantCulture)} of them count.");

        if (_problems.Exists(problem => problem.Refuses) || threads is null || cores is null || speed is null || memory is null || startUp is null)
            return null;
        return new MachineType
        {
            Name = name,
            HardwareThreads = threads.Value,
            PhysicalCores = cores.Value,
            RelativeCoreSpeed = speed.Value,
            MemoryGiB = memory.Value,
            MemoryBandwidthGBps = bandwidth,
            StartUpSeconds = startUp.Value,
            Purchase = [.. purchase],
        };
    }

    private List<PurchaseOption> ReadPurchase(FigureReader cells)
    {
        var purchase = new List<PurchaseOption>();
        // A row whose price is blank is paid for in its further ways alone.
        int shift = 1;
        if (_draft.Further.IsEmpty || !cells.IsBlank(MachineField.PricePerHour))
        {
            shift = 0;
            if (PurchaseReader.ReadMetered(cells, alwaysOn: false) is { } metered)
                purchase.Add(metered);
        }

        for (int index = 0; index < _draft.Further.Length; index++)
        {
            PurchaseDraft way = _draft.Further[index];
            int place = index + 1 - shift;
            var reader = new FigureReader(
                _row, index + 1,
                field => string.Create(CultureInfo.InvariantCulture, $"machines[{_row}].purchase[{place}].{FieldNames.Of(field)}"),
                field => way[field], _problems);
            if (PurchaseReader.Read(way.Kind, reader, _draft.Currency) is { } option)
                purchase.Add(option);
        }

        return purchase;
    }
}
