using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Reading;

/// <summary>What the HTTP API calls the fields of a machine and of the ways to pay for it.</summary>
internal static class FieldNames
{
    /// <summary>The field's name, such as "memoryGiB".</summary>
    public static string Of(MachineField field) => field switch
    {
        MachineField.Name => "name",
        MachineField.HardwareThreads => "hardwareThreads",
        MachineField.PhysicalCores => "physicalCores",
        MachineField.RelativeCoreSpeed => "relativeCoreSpeed",
        MachineField.Memory => "memoryGiB",
        MachineField.MemoryBandwidth => "memoryBandwidthGBps",
        MachineField.StartUp => "startUpSeconds",
        MachineField.PricePerHour => "pricePerHour",
        MachineField.Currency => "currency",
        MachineField.Increment => "incrementSeconds",
        MachineField.Minimum => "minimumSeconds",
        MachineField.LicencePerCore => "licencePerCoreMonth",
        MachineField.LicencePerMachine => "licencePerMachineMonth",
        MachineField.Kind => "kind",
        MachineField.PricePerMonth => "pricePerMonth",
        MachineField.Upfront => "upfront",
        MachineField.TermMonths => "months",
        MachineField.InterruptionsPerHour => "interruptionsPerHour",
        MachineField.Restart => "restartSeconds",
        MachineField.Checkpoint => "checkpointSeconds",
        MachineField.PurchasePrice => "purchasePrice",
        MachineField.LifetimeMonths => "lifetimeMonths",
        MachineField.Watts => "watts",
        MachineField.PricePerKilowattHour => "pricePerKilowattHour",
        MachineField.OverheadFactor => "overheadFactor",
        MachineField.HoursPerMonth => "hoursPerMonth",
        _ => throw new ArgumentOutOfRangeException(nameof(field), field, "No such field."),
    };
}
