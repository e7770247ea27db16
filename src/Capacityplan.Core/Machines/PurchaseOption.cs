using System.Text.Json.Serialization;

namespace Capacityplan.Core.Machines;

/// <summary>A way to pay for a machine. Amounts are <see cref="decimal"/> in the option's currency.</summary>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "kind")]
[JsonDerivedType(typeof(MeteredPurchase), MeteredPurchase.KindName)]
public abstract record PurchaseOption
{
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

    /// <summary>What one run costs.</summary>
    /// <param name="startToFinishSeconds">Seconds the machine is held for a run, its start-up included; 0 or more and finite.</param>
    /// <returns>The amount, not rounded.</returns>
    public abstract decimal CostOfRun(double startToFinishSeconds);
}

/// <summary>Paid by the time used: billed seconds are max(minimum, ceil(used / increment) x increment).</summary>
public sealed record MeteredPurchase : PurchaseOption
{
    /// <summary>The kind's name.</summary>
    public const string KindName = "metered";

    /// <inheritdoc/>
    [JsonIgnore] // not inherited: without it the property clashes with the discriminator
    public override string Kind => KindName;

    /// <summary>Price of an hour; 0 or more.</summary>
    public required decimal PricePerHour { get; init => field = Require.NotNegative(value, nameof(PricePerHour)); }

    /// <summary>Billing increment, seconds; above 0.</summary>
    public double IncrementSeconds { get; init => field = Require.Positive(value, nameof(IncrementSeconds)); } = 1;

    /// <summary>The least that is billed for a run, seconds; 0 or more.</summary>
    public double MinimumSeconds { get; init => field = Require.NotNegative(value, nameof(MinimumSeconds)); }

    /// <summary>Seconds billed for a use of the machine.</summary>
    /// <param name="usedSeconds">Seconds used, start-up included; 0 or more and finite.</param>
    /// <exception cref="ArgumentOutOfRangeException">NaN, infinite or negative.</exception>
    public double BilledSeconds(double usedSeconds)
    {
        Require.NotNegative(usedSeconds);
        // A use that is a whole number of increments but for rounding (0.1 s increments, 0.3 s used) is not billed one more.
        double increments = usedSeconds / IncrementSeconds;
        double whole = Math.Round(increments);
        if (Math.Abs(increments - whole) > 1e-9 * Math.Max(1, whole))
            whole = Math.Ceiling(increments);
        return Math.Max(MinimumSeconds, whole * IncrementSeconds);
    }

    /// <inheritdoc/>
    public override decimal CostOfRun(double startToFinishSeconds) =>
        (decimal)BilledSeconds(startToFinishSeconds) * PricePerHour / 3600m;
}
