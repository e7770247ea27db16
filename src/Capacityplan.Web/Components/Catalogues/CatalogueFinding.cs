using System.Collections.Immutable;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Components.Catalogues;

/// <summary>What a catalogue comes to, in a sentence.</summary>
public static class CatalogueFinding
{
    /// <summary>"Twelve machines, from 2 to 192 hardware threads, at €0.20 to €18.20 an hour."</summary>
    /// <param name="machines">The machines.</param>
    public static string Of(ImmutableArray<MachineType> machines)
    {
        if (machines.IsEmpty)
            return "No machine yet. Add one you could use.";
        string count = ChartWords.Capitalised(ChartWords.Number(machines.Length)) + (machines.Length == 1 ? " machine" : " machines");
        string threads = Range(machines.Select(machine => machine.HardwareThreads), few => Figures.Count(few), out int most);
        string unit = most == 1 ? "hardware thread" : "hardware threads";
        string? price = PriceRange(machines);
        return $"{count} {(threads.Contains("to", StringComparison.Ordinal) ? "from" : "with")} {threads} {unit}{(price is null ? "" : $", at {price} an hour")}.";
    }

    /// <summary>"€0.20 to €18.20"; null where the prices are in several currencies.</summary>
    /// <param name="machines">The machines.</param>
    public static string? PriceRange(ImmutableArray<MachineType> machines)
    {
        MeteredPurchase[] prices = [.. machines.SelectMany(machine => machine.Purchase.OfType<MeteredPurchase>().Take(1))];
        return prices.Length > 0 && prices.All(price => price.Currency == prices[0].Currency)
            ? Range(prices.Select(price => price.PricePerHour), amount => Figures.MoneyOfRun(amount, prices[0].Currency), out _)
            : null;
    }

    private static string Range<T>(IEnumerable<T> values, Func<T, string> write, out T most)
    {
        T[] sorted = [.. values.Order()];
        most = sorted[^1];
        string low = write(sorted[0]), high = write(most);
        return low == high ? low : $"{low} to {high}";
    }
}
