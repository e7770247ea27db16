namespace Capacityplan.Core.Machines;

/// <summary>A figure or word of a machine that its owner types.</summary>
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
}
