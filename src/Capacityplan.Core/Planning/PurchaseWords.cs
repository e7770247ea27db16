using System.Globalization;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Planning;

/// <summary>Ways to pay in words, for sentences that name one among several.</summary>
public static class PurchaseWords
{
    /// <summary>A way to pay in a few words: "metered", "always on", "on a 12-month term", "interruptible", "owned".</summary>
    /// <param name="purchase">The way to pay.</param>
    public static string Of(PurchaseOption purchase) => purchase switch
    {
        MeteredPurchase { AlwaysOn: true } => "always on",
        TermPurchase term => string.Create(CultureInfo.InvariantCulture, $"on a {term.Months}-month term"),
        _ => purchase.Kind,
    };

    /// <summary>The way to pay where its machine is offered in several; null where it is the only one. Ways alike in words are
    /// told apart by their place in the machine's list.</summary>
    /// <param name="machine">The machine.</param>
    /// <param name="purchase">One of its ways to pay.</param>
    public static string? AmongSeveral(MachineType machine, PurchaseOption purchase)
    {
        if (machine.Purchase.Length < 2)
            return null;
        string words = Of(purchase);
        bool alone = machine.Purchase.Count(other => Of(other) == words) < 2;
        return alone ? words : string.Create(CultureInfo.InvariantCulture, $"{words}, option {machine.Purchase.IndexOf(purchase) + 1}");
    }

    /// <summary>The machine's name, with the way to pay where it is offered in several: "Heron-16, interruptible".</summary>
    /// <param name="machine">The machine.</param>
    /// <param name="purchase">One of its ways to pay.</param>
    public static string Name(MachineType machine, PurchaseOption purchase) =>
        AmongSeveral(machine, purchase) is { } way ? $"{machine.Name}, {way}" : machine.Name;
}
