namespace Capacityplan.Core.Machines;

/// <summary>A figure or word of a machine, or of a way to pay for it, that its owner types.</summary>
public enum MachineField
{
    /// <summary>Its name.</summary>
    Name,

    /// <summary>Hardware threads.</summary>
    HardwareThreads,

    /// <summary>Physical cores.</summary>
    PhysicalCores,

    /// <summary>Relative core speed.</summary>
    RelativeCoreSpeed,

    /// <summary>Memory; a bare number counts GiB.</summary>
    Memory,

    /// <summary>Memory bandwidth, GB/s.</summary>
    MemoryBandwidth,

    /// <summary>Time from asking for it until the job starts; a bare number counts seconds.</summary>
    StartUp,

    /// <summary>Price of an hour.</summary>
    PricePerHour,

    /// <summary>ISO 4217 code of the price.</summary>
    Currency,

    /// <summary>Billing increment; a bare number counts seconds.</summary>
    Increment,

    /// <summary>The least that is billed for a run; a bare number counts seconds.</summary>
    Minimum,

    /// <summary>A licence paid for each physical core, a month.</summary>
    LicencePerCore,

    /// <summary>A licence paid for the machine, a month.</summary>
    LicencePerMachine,

    /// <summary>The kind of a way to pay, as <see cref="PurchaseDraft.Kind"/> has it.</summary>
    Kind,

    /// <summary>Price of a month.</summary>
    PricePerMonth,

    /// <summary>Paid once at the start of a term.</summary>
    Upfront,

    /// <summary>Length of a term, months.</summary>
    TermMonths,

    /// <summary>Interruptions in an hour of use.</summary>
    InterruptionsPerHour,

    /// <summary>Time from an interruption until the job goes on; a bare number counts seconds.</summary>
    Restart,

    /// <summary>Time that writing a checkpoint takes; a bare number counts seconds.</summary>
    Checkpoint,

    /// <summary>Price of the machine itself.</summary>
    PurchasePrice,

    /// <summary>Months it is used for.</summary>
    LifetimeMonths,

    /// <summary>Power it draws while it is on, W.</summary>
    Watts,

    /// <summary>Price of a kilowatt-hour.</summary>
    PricePerKilowattHour,

    /// <summary>Energy paid for, over what the machine itself draws.</summary>
    OverheadFactor,

    /// <summary>Hours it is on, a month.</summary>
    HoursPerMonth,
}
