using System.Collections.Immutable;
using System.Globalization;

namespace Capacityplan.Core.Machines;

/// <summary>
/// A machine as its owner typed it: every field is the text of a cell, kept even where it cannot be understood.
/// </summary>
public sealed record MachineDraft
{
    private readonly Sequence<PurchaseDraft> _further;

    /// <summary>The fields that are cells of the machine's own row, in the order shown.</summary>
    public static ImmutableArray<MachineField> Fields { get; } =
        [.. Enum.GetValues<MachineField>().Where(field => field <= MachineField.LicencePerMachine)];

    /// <summary>Its name.</summary>
    public string Name { get; init; } = "";

    /// <summary>Hardware threads, as "16".</summary>
    public string HardwareThreads { get; init; } = "";

    /// <summary>Physical cores, as "8".</summary>
    public string PhysicalCores { get; init; } = "";

    /// <summary>Relative core speed, as "0.85"; blank is 1.</summary>
    public string RelativeCoreSpeed { get; init; } = "";

    /// <summary>Memory, as "32" or "32 GiB".</summary>
    public string Memory { get; init; } = "";

    /// <summary>Memory bandwidth in GB/s, as "200"; blank where not known.</summary>
    public string MemoryBandwidth { get; init; } = "";

    /// <summary>Time until the job starts, as "45" or "1 min"; blank is none.</summary>
    public string StartUp { get; init; } = "";

    /// <summary>Price of an hour, as "1.50"; may stay blank where there are further ways to pay.</summary>
    public string PricePerHour { get; init; } = "";

    /// <summary>ISO 4217 code of the price, as "EUR"; also that of further ways to pay that name none.</summary>
    public string Currency { get; init; } = "";

    /// <summary>Billing increment, as "1" or "1 min"; blank is 1 s.</summary>
    public string Increment { get; init; } = "";

    /// <summary>The least that is billed for a run, as "60" or "1 min"; blank is none.</summary>
    public string Minimum { get; init; } = "";

    /// <summary>A licence for each physical core, a month, paid beside the price of an hour; blank is none.</summary>
    public string LicencePerCore { get; init; } = "";

    /// <summary>A licence for the machine, a month, paid beside the price of an hour; blank is none.</summary>
    public string LicencePerMachine { get; init; } = "";

    /// <summary>Further ways to pay for it, in the order entered.</summary>
    /// <exception cref="ArgumentException">One is null.</exception>
    public ImmutableArray<PurchaseDraft> Further
    {
        get => _further.Items;
        init => _further = value.IsDefault || !value.Any(way => way is null)
            ? new Sequence<PurchaseDraft>(value)
            : throw new ArgumentException("A way to pay is null.", nameof(Further));
    }

    /// <summary>
    /// The machine these texts last made. It stands in the catalogue while they make none. Null for a row that never made one.
    /// </summary>
    public MachineType? Kept { get; init; }

    /// <summary>The text of a cell.</summary>
    public string this[MachineField field] => field switch
    {
        MachineField.Name => Name,
        MachineField.HardwareThreads => HardwareThreads,
        MachineField.PhysicalCores => PhysicalCores,
        MachineField.RelativeCoreSpeed => RelativeCoreSpeed,
        MachineField.Memory => Memory,
        MachineField.MemoryBandwidth => MemoryBandwidth,
        MachineField.StartUp => StartUp,
        MachineField.PricePerHour => PricePerHour,
        MachineField.Currency => Currency,
        MachineField.Increment => Increment,
        MachineField.Minimum => Minimum,
        MachineField.LicencePerCore => LicencePerCore,
        MachineField.LicencePerMachine => LicencePerMachine,
        _ => throw new ArgumentOutOfRangeException(nameof(field), field, "No such field."),
    };

    /// <summary>The draft with another text in one cell.</summary>
    public MachineDraft With(MachineField field, string text) => field switch
    {
        MachineField.Name => this with { Name = text },
        MachineField.HardwareThreads => this with { HardwareThreads = text },
        MachineField.PhysicalCores => this with { PhysicalCores = text },
        MachineField.RelativeCoreSpeed => this with { RelativeCoreSpeed = text },
        MachineField.Memory => this with { Memory = text },
        MachineField.MemoryBandwidth => this with { MemoryBandwidth = text },
        MachineField.StartUp => this with { StartUp = text },
        MachineField.PricePerHour => this with { PricePerHour = text },
        MachineField.Currency => this with { Currency = text },
        MachineField.Increment => this with { Increment = text },
        MachineField.Minimum => this with { Minimum = text },
        MachineField.LicencePerCore => this with { LicencePerCore = text },
        MachineField.LicencePerMachine => this with { LicencePerMachine = text },
        _ => throw new ArgumentOutOfRangeException(nameof(field), field, "No such field."),
    };

    /// <summary>True where every cell of the two holds the same text.</summary>
    public bool ReadsAs(MachineDraft other) => (this with { Kept = null }).Equals(other with { Kept = null });

    /// <summary>The texts that make a machine. The row's own cells hold its first way to pay where that is by the time used.</summary>
    public static MachineDraft Of(MachineType machine)
    {
        var metered = machine.Purchase[0] as MeteredPurchase;
        if (metered is { AlwaysOn: true })
            metered = null;
        var draft = new MachineDraft
        {
            Name = machine.Name,
            HardwareThreads = machine.HardwareThreads.ToString(CultureInfo.InvariantCulture),
            PhysicalCores = machine.PhysicalCores.ToString(CultureInfo.InvariantCulture),
            RelativeCoreSpeed = Write(machine.RelativeCoreSpeed),
            Memory = Write(machine.MemoryGiB),
            MemoryBandwidth = machine.MemoryBandwidthGBps is { } known ? Write(known) : "",
            StartUp = Write(machine.StartUpSeconds),
            Further = [.. machine.Purchase.Skip(metered is null ? 0 : 1).Select(PurchaseDraft.Of)],
            Kept = machine,
        };
        return metered is null ? draft : draft with
        {
            PricePerHour = PurchaseDraft.Write(metered.PricePerHour),
            Currency = metered.Currency,
            Increment = Write(metered.IncrementSeconds),
            Minimum = Write(metered.MinimumSeconds),
            LicencePerCore = PurchaseDraft.WriteUnlessZero(metered.LicencePerCoreMonth),
            LicencePerMachine = PurchaseDraft.WriteUnlessZero(metered.LicencePerMachineMonth),
        };
    }

    private static string Write(double value) => value.ToString(CultureInfo.InvariantCulture);
}
