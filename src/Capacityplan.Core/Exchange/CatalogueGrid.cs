using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Exchange;

/// <summary>
/// A catalogue as a table, a row for each machine and way to pay and for each conversion rate, under headings that are read
/// again as what they are.
/// </summary>
internal static class CatalogueGrid
{
    private static readonly ImmutableArray<(string Head, MachineField Field)> s_fields =
    [
        ("machine", MachineField.Name), ("hardware threads", MachineField.HardwareThreads), ("physical cores", MachineField.PhysicalCores),
        ("relative core speed", MachineField.RelativeCoreSpeed), ("memory (GiB)", MachineField.Memory), ("memory bandwidth (GB/s)", MachineField.MemoryBandwidth),
        ("start-up (s)", MachineField.StartUp), ("way to pay", MachineField.Kind), ("currency", MachineField.Currency), ("price an hour", MachineField.PricePerHour),
        ("billing increment (s)", MachineField.Increment), ("least billed (s)", MachineField.Minimum), ("price a month", MachineField.PricePerMonth),
        ("term (months)", MachineField.TermMonths), ("paid at the start", MachineField.Upfront), ("interruptions an hour", MachineField.InterruptionsPerHour),
        ("restart (s)", MachineField.Restart), ("checkpoint (s)", MachineField.Checkpoint), ("price of the machine", MachineField.PurchasePrice),
        ("lifetime (months)", MachineField.LifetimeMonths), ("power (W)", MachineField.Watts), ("electricity price (a kWh)", MachineField.PricePerKilowattHour),
        ("energy overhead", MachineField.OverheadFactor), ("hours on a month", MachineField.HoursPerMonth), ("licence for a core, a month", MachineField.LicencePerCore),
        ("licence for the machine, a month", MachineField.LicencePerMachine),
    ];

    private static readonly ImmutableArray<string> s_listHeads =
    [
        ImportWords.CatalogueHead, ImportWords.PricesOfHead, ImportWords.InventedHead, ImportWords.RateHead, ImportWords.ConvertedIntoHead, ImportWords.RateTakenOnHead,
    ];

    private static readonly int s_currency = IndexOf(MachineField.Currency);
    private static readonly int s_kind = IndexOf(MachineField.Kind);
    private static readonly int s_list = s_fields.Length;

    /// <summary>The headings.</summary>
    public static ImmutableArray<string> Heads { get; } = [.. s_fields.Select(column => column.Head), .. s_listHeads];

    /// <summary>The rows; columns no row fills are blank in all.</summary>
    public static List<FileCell[]> Rows(Catalogue catalogue)
    {
        var rows = new List<FileCell[]>();
        foreach (MachineType machine in catalogue.Machines)
        {
            MachineDraft draft = MachineDraft.Of(machine);
            foreach (PurchaseOption option in machine.Purchase)
                rows.Add(RowOf(draft, PurchaseDraft.Of(option)));
        }

        foreach (CurrencyRate rate in catalogue.Rates)
        {
            FileCell[] row = Blank();
            row[s_kind] = new FileCell(ImportWords.RateKind);
            row[s_currency] = new FileCell(rate.From);
            row[s_list + 3] = new FileCell(rate.Rate.ToString(CultureInfo.InvariantCulture), IsNumber: true);
            row[s_list + 4] = new FileCell(rate.To);
            row[s_list + 5] = new FileCell(Day(rate.TakenOn));
            rows.Add(row);
        }

        if (rows.Count == 0)
            rows.Add(Blank());
        // Said in every row, so that the rows can be sorted and cut without losing it.
        foreach (FileCell[] row in rows)
        {
            row[s_list] = new FileCell(catalogue.Name);
            row[s_list + 1] = new FileCell(catalogue.PricesOf is { } day ? Day(day) : "");
            row[s_list + 2] = new FileCell(catalogue.PricesAreInvented ? "yes" : "");
        }

        return rows;
    }

    private static FileCell[] RowOf(MachineDraft machine, PurchaseDraft way)
    {
        FileCell[] row = Blank();
        ImmutableArray<MachineField> used = PurchaseDraft.FieldsOf(way.Kind);
        for (int column = 0; column < s_fields.Length; column++)
        {
            MachineField of = s_fields[column].Field;
            bool isText = of is MachineField.Name or MachineField.Kind or MachineField.Currency;
            string text = ImportGathering.MachineFields.Contains(of) ? machine[of]
                : of == MachineField.Kind ? KindWord(way.Kind)
                : used.Contains(of) ? way[of]
                : "";
            row[column] = new FileCell(text, IsNumber: !isText && text.Length > 0);
        }

        return row;
    }

    private static string KindWord(string kind) => kind switch
    {
        MeteredPurchase.KindName => "by the time used",
        PurchaseDraft.AlwaysOnKind => "always on",
        TermPurchase.KindName => "for a term",
        _ => kind,
    };

    private static FileCell[] Blank()
    {
        var row = new FileCell[Heads.Length];
        Array.Fill(row, new FileCell(""));
        return row;
    }

    private static string Day(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private static int IndexOf(MachineField sought)
    {
        for (int column = 0; column < s_fields.Length; column++)
        {
            if (s_fields[column].Field == sought)
                return column;
        }

        throw new ArgumentOutOfRangeException(nameof(sought), sought, "No column holds it.");
    }
}
