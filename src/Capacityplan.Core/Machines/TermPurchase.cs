using System.Text.Json.Serialization;

namespace Capacityplan.Core.Machines;

/// <summary>Paid by the month for a term, with a part up front that is spread over its months.</summary>
public sealed record TermPurchase : PurchaseOption
{
    /// <summary>The kind's name.</summary>
    public const string KindName = "term";

    /// <inheritdoc/>
    [JsonIgnore] // not inherited: without it the property clashes with the discriminator
    public override string Kind => KindName;

    /// <summary>Price of a month; 0 or more.</summary>
    public required decimal PricePerMonth { get; init => field = Amount(value, nameof(PricePerMonth)); }

    /// <summary>Paid once, at the start; 0 or more.</summary>
    public decimal Upfront { get; init => field = Amount(value, nameof(Upfront)); }

    /// <summary>Length of the term, months; 1 or more.</summary>
    public required int Months { get; init => field = Require.AtLeast(value, 1, nameof(Months)); }

    /// <inheritdoc/>
    public override decimal CostOfOneMoreRun(double heldSeconds) => 0 * (decimal)Held(heldSeconds);

    /// <inheritdoc/>
    protected override decimal FixedCost => PricePerMonth + Upfront / Months;
}
