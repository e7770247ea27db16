namespace Capacityplan.Web.Components.Sheet;

/// <summary>A column the machine table can be sorted by.</summary>
public enum MachineColumn
{
    /// <summary>Cost of a run.</summary>
    Run,

    /// <summary>The machine's name.</summary>
    Name,

    /// <summary>Its cores' worth.</summary>
    Cores,

    /// <summary>Median time from start to finish.</summary>
    Time,

    /// <summary>Chance of the window.</summary>
    Chance,

    /// <summary>Cost of a month.</summary>
    Month,
}

/// <summary>How the machine table is sorted.</summary>
/// <param name="Column">By which column.</param>
/// <param name="Descending">True for the largest first.</param>
public readonly record struct MachineSorting(MachineColumn Column, bool Descending);
