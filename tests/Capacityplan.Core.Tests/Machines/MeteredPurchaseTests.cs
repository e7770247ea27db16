using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Tests.Machines;

public sealed class MeteredPurchaseTests
{
    // Worked by hand: billed seconds are max(minimum, ceil(used / increment) x increment).
    [Theory]
    [InlineData(0, 1, 60, 60)]
    [InlineData(59.2, 1, 60, 60)]
    [InlineData(60.001, 1, 60, 61)]
    [InlineData(2400, 1, 60, 2400)]
    [InlineData(2400.5, 60, 60, 2460)]
    [InlineData(3600, 3600, 0, 3600)]
    [InlineData(3600.1, 3600, 0, 7200)]
    [InlineData(0.3, 0.1, 0, 0.3)]
    [InlineData(100, 1e12, 0, 1e12)]
    [InlineData(100, 7, 0, 105)]
    public void BilledSeconds_RoundUpToTheIncrement_AndToTheMinimum(double used, double increment, double minimum, double billed) =>
        Assert.Equal(billed, Metered(1, increment, minimum).BilledSeconds(used), 1e-9);

    [Theory]
    [InlineData("1.50", 2423.2, "1.01")]
    [InlineData("3600", 0.5, "1")]
    [InlineData("0", 5000, "0")]
    public void CostOfOneMoreRun_IsTheBilledTimeAtThePriceOfAnHour(string price, double used, string cost)
    {
        decimal amount = Metered(decimal.Parse(price, System.Globalization.CultureInfo.InvariantCulture), 1, 0).CostOfOneMoreRun(used);

        Assert.Equal(decimal.Parse(cost, System.Globalization.CultureInfo.InvariantCulture), Math.Round(amount, 2));
    }

    [Fact]
    public void CostOfOneMoreRun_OfNonsense_IsRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => Metered(1, 1, 0).CostOfOneMoreRun(double.NaN));
        Assert.Throws<ArgumentOutOfRangeException>(() => Metered(1, 1, 0).CostOfOneMoreRun(double.PositiveInfinity));
        Assert.Throws<ArgumentOutOfRangeException>(() => Metered(-1, 1, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => Metered(1, 0, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => Metered(1, 1, double.NaN));
        Assert.Throws<ArgumentException>(() => new MeteredPurchase { Currency = "euro", PricePerHour = 1 });
    }

    private static MeteredPurchase Metered(decimal pricePerHour, double increment, double minimum) =>
        new() { Currency = "EUR", PricePerHour = pricePerHour, IncrementSeconds = increment, MinimumSeconds = minimum };
}
