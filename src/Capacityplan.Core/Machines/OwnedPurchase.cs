using System.Text.Json.Serialization;

namespace Capacityplan.Core.Machines;

/// <summary>
/// Bought: the price is spread evenly over its lifetime, and the electricity it draws is paid for, with what cooling and
/// supply add to it.
/// </summary>
public sealed record OwnedPurchase : PurchaseOption
{
    /// <summary>The kind's name.</summary>
    public const string KindName = "owned";

    /// <inheritdoc/>
    [JsonIgnore] // not inherited: without it the property clashes with the discriminator
    public override string Kind => KindName;

    /// <summary>Price of the machine; 0 or more.</summary>
    public required decimal PurchasePrice { get; init => field = Amount(value, nameof(PurchasePrice)); }

    /// <summary>Months it is used for; 1 or more.</summary>
    public required int LifetimeMonths { get; init => field = Require.AtLeast(value, 1, nameof(LifetimeMonths)); }

    /// <summary>Power it draws while it is on, W; from 0 to 1,000,000,000.</summary>
    public double Watts { get; init => field = Require.Within(value, 0, 1e9, nameof(Watts)); }

    /// <summary>Price of a kilowatt-hour; 0 or more.</summary>
    public decimal PricePerKilowattHour { get; init => field = Amount(value, nameof(PricePerKilowattHour)); }

    /// <summary>Energy paid for, over what the machine itself draws (cooling, supply); from 1 to 100.</summary>
    public double OverheadFactor { get; init => field = Require.Within(value, 1, 100, nameof(OverheadFactor)); } = 1;

    /// <summary>Hours it is on, a month; from 0 to 744.</summary>
    public double HoursPerMonth { get; init => field = Require.Within(value, 0, 744, nameof(HoursPerMonth)); } = AlwaysOnHours;

    /// <inheritdoc/>
    public override decimal CostOfOneMoreRun(double heldSeconds) => 0 * (decimal)Held(heldSeconds);

    /// <inheritdoc/>
    protected override decimal FixedCost =>
        PurchasePrice / LifetimeMonths + (decimal)(Watts / 1000 * OverheadFactor * HoursPerMonth) * PricePerKilowattHour;
}
