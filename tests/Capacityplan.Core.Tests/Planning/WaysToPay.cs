using System.Collections.Immutable;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Tests.Planning;

/// <summary>The demo's machines offered in several invented ways.</summary>
internal static class WaysToPay
{
    public static MeteredPurchase Metered(decimal pricePerHour, string currency = "EUR") =>
        new() { PricePerHour = pricePerHour, Currency = currency, MinimumSeconds = 60 };

    public static InterruptiblePurchase Interruptible(decimal pricePerHour, double perHour, double restart = 60, double? checkpoint = null, string currency = "EUR") =>
        new() { PricePerHour = pricePerHour, InterruptionsPerHour = perHour, RestartSeconds = restart, CheckpointSeconds = checkpoint, Currency = currency };

    public static TermPurchase Term(decimal pricePerMonth, int months = 12, decimal upfront = 0) =>
        new() { PricePerMonth = pricePerMonth, Months = months, Upfront = upfront, Currency = "EUR" };

    public static OwnedPurchase Owned(decimal price, int months = 48) => new() { PurchasePrice = price, LifetimeMonths = months, Currency = "EUR" };

    /// <summary>A machine of the demo, offered otherwise.</summary>
    public static MachineType Offered(string name, params ImmutableArray<PurchaseOption> purchase) =>
        TidemarkJob.Catalogue.Machines.Single(machine => machine.Name == name) with { Purchase = purchase };

    public static Catalogue CatalogueOf(params ImmutableArray<MachineType> machines) => new() { Name = "test", Machines = machines };
}
