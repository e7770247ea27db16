using System.Text.Json.Serialization;

namespace Capacityplan.Core.Machines;

/// <summary>Paid by the time used, or for every hour of the month where it is always on.</summary>
public sealed record MeteredPurchase : HourlyPurchase
{
    /// <summary>The kind's name.</summary>
    public const string KindName = "metered";

    /// <inheritdoc/>
    [JsonIgnore] // not inherited: without it the property clashes with the discriminator
    public override string Kind => KindName;

    /// <summary>True where it is never switched off: <see cref="PurchaseOption.AlwaysOnHours"/> are paid a month, whatever runs.</summary>
    public bool AlwaysOn { get; init; }

    /// <inheritdoc/>
    public override decimal CostOfOneMoreRun(double heldSeconds) =>
        AlwaysOn ? 0 * (decimal)Held(heldSeconds) : base.CostOfOneMoreRun(heldSeconds);

    /// <inheritdoc/>
    protected override decimal FixedCost => AlwaysOn ? AlwaysOnHours * PricePerHour : 0;
}
