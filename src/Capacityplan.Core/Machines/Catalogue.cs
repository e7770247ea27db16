using System.Collections.Immutable;

namespace Capacityplan.Core.Machines;

/// <summary>A list of machines with the date of its prices.</summary>
public sealed record Catalogue
{
    /// <summary>Prices older than this have to be checked before an answer rests on them; common practice, no source.</summary>
    public const int StalePriceMonths = 6;

    /// <summary>Its name; not blank.</summary>
    public required string Name { get; init => field = Require.NotBlank(value, nameof(Name)); }

    /// <summary>The day the prices were taken; null where not known.</summary>
    public DateOnly? PricesOf { get; init; }

    /// <summary>True where the prices are invented, as the demo's are; the page says so beside them.</summary>
    public bool PricesAreInvented { get; init; }

    /// <summary>The machines, in the order entered; names are unique.</summary>
    public required ImmutableArray<MachineType> Machines
    {
        get;
        init
        {
            var seen = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
            foreach (MachineType machine in value)
            {
                if (!seen.Add(machine.Name))
                    throw new ArgumentException($"Two machines are called {machine.Name}; give one another name.", nameof(Machines));
            }

            field = value;
        }
    }

    /// <summary>Conversions its owner entered, so that prices in several currencies can be compared; none by default. Of two
    /// for the same pair the later one in the list holds.</summary>
    public ImmutableArray<CurrencyRate> Rates { get; init => field = value.IsDefault ? [] : value; } = [];

    /// <summary>Units of a currency for one of another: 1 where they are the same, null where no rate says.</summary>
    /// <param name="from">ISO 4217 code of the currency converted.</param>
    /// <param name="to">ISO 4217 code of the currency wanted.</param>
    public decimal? RateFor(string from, string to) => from == to ? 1
        : RateBetween(from, to) is not { } rate ? null
        : rate.From == from ? rate.Rate
        : 1 / rate.Rate;

    /// <summary>The rate that converts between two currencies, one way or the other; null where none does.</summary>
    /// <param name="one">ISO 4217 code of one currency.</param>
    /// <param name="other">That of the other.</param>
    public CurrencyRate? RateBetween(string one, string other) =>
        Rates.LastOrDefault(rate => (rate.From == one && rate.To == other) || (rate.From == other && rate.To == one));

    /// <summary>Age of the prices in whole months; 0 for a day still to come, null where their day is not known.</summary>
    /// <param name="today">The day it is.</param>
    public int? PriceAgeMonths(DateOnly today)
    {
        if (PricesOf is not { } taken)
            return null;
        int months = (today.Year - taken.Year) * 12 + today.Month - taken.Month;
        // A day the shorter month does not have counts as its last.
        return Math.Max(0, taken.AddMonths(months) > today ? months - 1 : months);
    }

    /// <summary>True where the prices are older than <see cref="StalePriceMonths"/>, or their day is not known; false where there
    /// are none.</summary>
    /// <param name="today">The day it is.</param>
    public bool PricesAreStale(DateOnly today) =>
        !Machines.IsEmpty && !(PricesOf is { } taken && taken.AddMonths(StalePriceMonths) >= today);
}
