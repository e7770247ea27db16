using System.Collections.Immutable;
using Capacityplan.Core.Machines;

namespace Capacityplan.Web.Catalogues;

/// <summary>A column of the catalogue.</summary>
/// <param name="Field">The cell it holds.</param>
/// <param name="Head">Its heading.</param>
/// <param name="Unit">What a bare number counts; empty for none.</param>
/// <param name="Spoken">Its name within a sentence.</param>
/// <param name="Hint">What it is, for someone who does not know.</param>
/// <param name="Placeholder">What a blank cell counts as; empty where it may not stay blank.</param>
public sealed record CatalogueColumn(MachineField Field, string Head, string Unit, string Spoken, string Hint, string Placeholder = "")
{
    /// <summary>The columns, in the order shown.</summary>
    public static ImmutableArray<CatalogueColumn> All { get; } =
    [
        new(MachineField.Name, "machine", "", "name", "Any name; plans and charts call the machine by it."),
        new(MachineField.HardwareThreads, "hardware threads", "", "hardware threads",
            "What the operating system shows and counts. Two threads may share one physical core."),
        new(MachineField.PhysicalCores, "physical cores", "", "physical cores",
            "The cores behind those threads. The pool’s workers get one each first; a second thread on a core adds only a part of a core."),
        new(MachineField.RelativeCoreSpeed, "relative core speed", "", "relative core speed",
            "How fast one core runs your job, where the machine you measured on is 1. Time the same run on one core of each: time there divided by time here.", "1"),
        new(MachineField.Memory, "memory", "GiB", "memory", "A machine with less than a plan needs is left out of it."),
        new(MachineField.MemoryBandwidth, "memory bandwidth", "GB/s", "memory bandwidth",
            "How much all cores together can read and write a second. May stay blank where you do not know it.", "·"),
        new(MachineField.StartUp, "start-up", "s", "start-up", "From asking for the machine until the job starts. It is inside the window, and it is paid for.", "0"),
        new(MachineField.PricePerHour, "price an hour", "", "price an hour", "What the provider asks for one hour, as on its current list."),
        new(MachineField.Currency, "currency", "", "currency", "Three letters, such as EUR. Prices in several are compared by the conversion rates below the list."),
        new(MachineField.Increment, "billed by", "s", "billing increment", "Time is billed in whole steps of this length.", "1"),
        new(MachineField.Minimum, "at least", "s", "least billed", "The least that is billed for a run, however short.", "0"),
    ];

    /// <summary>Heading and unit.</summary>
    public string Label => Unit.Length > 0 ? $"{Head}, {Unit}" : Head;

    /// <summary>The column of a cell.</summary>
    public static CatalogueColumn Of(MachineField field) => All.First(column => column.Field == field);
}
