namespace Capacityplan.Core.Machines;

/// <summary>Paid by the time used: billed seconds are max(minimum, ceil(used / increment) x increment).</summary>
public abstract record HourlyPurchase : PurchaseOption
{
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
    public override decimal CostOfOneMoreRun(double heldSeconds) =>
        (decimal)BilledSeconds(heldSeconds) * PricePerHour / 3600m;

    /// <inheritdoc/>
    protected override decimal FixedCost => 0;
}
