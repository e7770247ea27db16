using Capacityplan.Core.Machines;

namespace Capacityplan.Web.Catalogues;

/// <summary>The ways to pay in words.</summary>
public static class WayWords
{
    /// <summary>"for a term".</summary>
    /// <param name="kind">A kind of <see cref="PurchaseDraft.Kinds"/>; another is repeated as it is.</param>
    public static string Kind(string kind) => kind switch
    {
        MeteredPurchase.KindName => "by the time used",
        PurchaseDraft.AlwaysOnKind => "always on",
        TermPurchase.KindName => "for a term",
        InterruptiblePurchase.KindName => "interruptible",
        OwnedPurchase.KindName => "owned",
        _ => kind,
    };

    /// <summary>What it is, for someone who does not know.</summary>
    /// <param name="kind">A kind of <see cref="PurchaseDraft.Kinds"/>.</param>
    public static string Hint(string kind) => kind switch
    {
        MeteredPurchase.KindName => "Paid for while it runs, in whole steps.",
        PurchaseDraft.AlwaysOnKind => "Paid by the hour and never switched off: 730 hours a month, whatever runs.",
        TermPurchase.KindName => "Paid by the month for a fixed time, with or without a part at the start; it is paid whatever runs.",
        InterruptiblePurchase.KindName => "Cheaper by the hour, but its owner may take it back at any time; the job then waits for another and does some of its work again.",
        OwnedPurchase.KindName => "Bought: its price is spread over the months it is used for, and electricity comes on top.",
        _ => "",
    };
}

/// <summary>The figures of machines and of the ways to pay for them, in words.</summary>
public static class FieldWords
{
    /// <summary>Its name within a sentence.</summary>
    public static string Of(MachineField field) => field switch
    {
        MachineField.LicencePerCore => "licence for a core",
        MachineField.LicencePerMachine => "licence for the machine",
        MachineField.Kind => "way to pay",
        MachineField.PricePerMonth => "price a month",
        MachineField.Upfront => "paid at the start",
        MachineField.TermMonths => "months of the term",
        MachineField.InterruptionsPerHour => "interruptions an hour",
        MachineField.Restart => "time until the job goes on",
        MachineField.Checkpoint => "time of a checkpoint",
        MachineField.PurchasePrice => "price of the machine",
        MachineField.LifetimeMonths => "months of use",
        MachineField.Watts => "power in watts",
        MachineField.PricePerKilowattHour => "price of a kilowatt-hour",
        MachineField.OverheadFactor => "energy paid for, times what the machine draws",
        MachineField.HoursPerMonth => "hours on, a month",
        _ => CatalogueColumn.Of(field).Spoken,
    };

    /// <summary>What is typed where nothing else is meant; empty where it may not stay blank.</summary>
    public static string Placeholder(MachineField field) => field switch
    {
        MachineField.LicencePerCore or MachineField.LicencePerMachine or MachineField.Upfront or MachineField.Restart or MachineField.Watts
            or MachineField.PricePerKilowattHour or MachineField.Minimum => "0",
        MachineField.Checkpoint => "none",
        MachineField.OverheadFactor or MachineField.Increment => "1",
        MachineField.HoursPerMonth => "730",
        _ => "",
    };
}
