using System.Text.Json.Serialization;

namespace Capacityplan.Core.Machines;

/// <summary>
/// A way to pay for a machine. Amounts are <see cref="decimal"/> in the option's currency and never rounded here: pages round
/// what they show, to the cent or to three figures below it.
/// </summary>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "kind")]
[JsonDerivedType(typeof(MeteredPurchase), MeteredPurchase.KindName)]
[JsonDerivedType(typeof(TermPurchase), TermPurchase.KindName)]
[JsonDerivedType(typeof(InterruptiblePurchase), InterruptiblePurchase.KindName)]
[JsonDerivedType(typeof(OwnedPurchase), OwnedPurchase.KindName)]
public abstract record PurchaseOption
{
    /// <summary>Hours of a machine that is always on, a month: 8,760 / 12; common practice, no source.</summary>
    public const int AlwaysOnHours = 730;

    /// <summary>The largest amount an option may hold, in its currency; more is refused, so that no cost is too large to be written.</summary>
    public const decimal MostAmount = 1_000_000_000;

    /// <summary>The longest time a run is priced for, seconds: 31,700 years.</summary>
    public const double MostHeldSeconds = 1e12;

    /// <summary>The fewest runs a month: one in 83 years.</summary>
    public const double LeastRuns = 0.001;

    /// <summary>The most runs a month.</summary>
    public const double MostRuns = 1_000_000;

    /// <summary>The option's kind, as the HTTP API names it.</summary>
    [JsonIgnore]
    public abstract string Kind { get; }

    /// <summary>ISO 4217 code of every amount in the option: three capital letters.</summary>
    public required string Currency
    {
        get;
        init => field = value is { Length: 3 } && value.All(char.IsAsciiLetterUpper)
            ? value
            : throw new ArgumentException($"'{value}' is not a currency code of three capital letters (ISO 4217), such as EUR.", nameof(Currency));
    }

    /// <summary>A licence paid for each physical core, a month; 0 or more.</summary>
    public decimal LicencePerCoreMonth { get; init => field = Amount(value, nameof(LicencePerCoreMonth)); }

    /// <summary>A licence paid for the machine, a month; 0 or more.</summary>
    public decimal LicencePerMachineMonth { get; init => field = Amount(value, nameof(LicencePerMachineMonth)); }

    /// <summary>What one more run adds to the bill; 0 where the month is paid for whatever runs.</summary>
    /// <param name="heldSeconds">Seconds the machine is held for the run, its start-up included; from 0 to <see cref="MostHeldSeconds"/>.</param>
    /// <returns>The amount, not rounded.</returns>
    /// <exception cref="ArgumentOutOfRangeException">NaN, infinite or negative.</exception>
    public abstract decimal CostOfOneMoreRun(double heldSeconds);

    /// <summary>What a month costs before anything has run: licences, and whatever is paid by the month.</summary>
    /// <param name="machine">The machine.</param>
    /// <returns>The amount, not rounded.</returns>
    public decimal FixedCostOfMonth(MachineType machine) =>
        FixedCost + LicencePerMachineMonth + LicencePerCoreMonth * Math.Min(machine.PhysicalCores, machine.HardwareThreads);

    /// <summary>What a month costs, with its runs.</summary>
    /// <param name="machine">The machine.</param>
    /// <param name="runsPerMonth">Runs a month; from <see cref="LeastRuns"/> to <see cref="MostRuns"/>.</param>
    /// <param name="heldSeconds">Seconds the machine is held for a run, its start-up included; from 0 to <see cref="MostHeldSeconds"/>.</param>
    /// <returns>The amount, not rounded.</returns>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public decimal CostOfMonth(MachineType machine, double runsPerMonth, double heldSeconds) =>
        FixedCostOfMonth(machine) + Runs(runsPerMonth) * CostOfOneMoreRun(heldSeconds);

    /// <summary>A run's share of the month: what one more run adds, and as large a part of the rest as every other run carries.</summary>
    /// <param name="machine">The machine.</param>
    /// <param name="runsPerMonth">Runs a month; from <see cref="LeastRuns"/> to <see cref="MostRuns"/>.</param>
    /// <param name="heldSeconds">Seconds the machine is held for a run, its start-up included; from 0 to <see cref="MostHeldSeconds"/>.</param>
    /// <returns>The amount, not rounded.</returns>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public decimal CostOfRun(MachineType machine, double runsPerMonth, double heldSeconds) =>
        CostOfOneMoreRun(heldSeconds) + FixedCostOfMonth(machine) / Runs(runsPerMonth);

    /// <summary>What a month costs before anything has run, without licences.</summary>
    [JsonIgnore]
    protected abstract decimal FixedCost { get; }

    /// <summary>An amount in its range.</summary>
    private protected static decimal Amount(decimal value, string name) =>
        value is >= 0 and <= MostAmount
            ? value
            : throw new ArgumentOutOfRangeException(name, value, FormattableString.Invariant($"{name} is {value}; it has to be from 0 to {MostAmount:#,0}."));

    /// <summary>A time a machine is held, in its range.</summary>
    private protected static double Held(double seconds) => Require.Within(seconds, 0, MostHeldSeconds, "heldSeconds");

    private static decimal Runs(double runsPerMonth) => (decimal)Require.Within(runsPerMonth, LeastRuns, MostRuns);
}
