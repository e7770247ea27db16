namespace Capacityplan.Core.Machines;

/// <summary>Paid by the time used: billed seconds are max(minimum, ceil(used / increment) x increment).</summary>
public abstract record HourlyPurchase : PurchaseOption
{
    /// <summary>Price of an hour; from 0 to <see cref="PurchaseOption.MostAmount"/>.</summary>
    public required decimal PricePerHour { get; init => field = Amount(value, nameof(PricePerHour)); }

    /// <summary>Billing increment, seconds; above 0 and at most <see cref="PurchaseOption.MostHeldSeconds"/>.</summary>
    public double IncrementSeconds { get; init => field = Require.Positive(Require.Within(value, 0, MostHeldSeconds, nameof(IncrementSeconds)), nameof(IncrementSeconds)); } = 1;

    /// <summary>The least that is billed for a run, seconds; from 0 to <see cref="PurchaseOption.MostHeldSeconds"/>.</summary>
    public double MinimumSeconds { get; init => field = Require.Within(value, 0, MostHeldSeconds, nameof(MinimumSeconds)); }

    /// <summary>Seconds billed for a use of the machine.</summary>
    /// <param name="usedSeconds">Seconds used, start-up included; from 0 to <see cref="PurchaseOption.MostHeldSeconds"/>.</param>
    /// <exception cref="ArgumentOutOfRangeException">NaN, or outside its range.</exception>
    public double BilledSeconds(double usedSeconds)
    {
        Held(usedSeconds);
        // A use that is a whole number of increments but for rounding (0.1 s increments, 0.3 s used) is not billed one more.
        double increments = usedSeconds / IncrementSeconds;
        // Past the digits a time has, increments are as fine as the time itself.
        if (increments > 1e15)
            return Math.Max(MinimumSeconds, usedSeconds);
        double whole = Math.Round(increments);
        if (whole == 0 || Math.Abs(increments - whole) > 1e-9 * whole)
            whole = Math.Ceiling(increments);
        return Math.Max(MinimumSeconds, whole * IncrementSeconds);
    }

    /// <inheritdoc/>
    public override decimal CostOfOneMoreRun(double heldSeconds) =>
        (decimal)BilledSeconds(heldSeconds) * PricePerHour / 3600m;

    /// <inheritdoc/>
    protected override decimal FixedCost => 0;
}
