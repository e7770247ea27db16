using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Tests.Machines;

/// <summary>Every rule of billing by an example worked by hand; all prices are invented.</summary>
public sealed class BillingTests
{
    private static readonly MachineType s_heron = new()
    {
        Name = "Heron-16",
        HardwareThreads = 16,
        PhysicalCores = 8,
        MemoryGiB = 64,
        Purchase = [new MeteredPurchase { Currency = "EUR", PricePerHour = 1.50m }],
    };

    [Fact]
    public void Metered_ByTheMinuteWithAMinimum_BillsWholeMinutes()
    {
        // 2,400.5 s are 41 minutes begun, 2,460 s: 2,460 x 1.50 / 3,600 = 1.025. Thirty runs: 30.75. 30 s are the minimum, 60 s: 0.025.
        var purchase = new MeteredPurchase { Currency = "EUR", PricePerHour = 1.50m, IncrementSeconds = 60, MinimumSeconds = 60 };

        Assert.Equal(1.025m, purchase.CostOfOneMoreRun(2400.5));
        Assert.Equal(0.025m, purchase.CostOfOneMoreRun(30));
        Assert.Equal(0, purchase.FixedCostOfMonth(s_heron));
        Assert.Equal(30.75m, purchase.CostOfMonth(s_heron, 30, 2400.5));
        Assert.Equal(1.025m, purchase.CostOfRun(s_heron, 30, 2400.5));
    }

    [Fact]
    public void Metered_AlwaysOn_Pays730HoursAMonthWhateverRuns()
    {
        // 730 x 1.50 = 1,095 a month; a run's share of 30 is 36.50.
        var purchase = new MeteredPurchase { Currency = "EUR", PricePerHour = 1.50m, AlwaysOn = true };

        Assert.Equal(1095m, purchase.CostOfMonth(s_heron, 30, 2400));
        Assert.Equal(1095m, purchase.CostOfMonth(s_heron, 60, 240_000));
        Assert.Equal(0, purchase.CostOfOneMoreRun(2400));
        Assert.Equal(36.50m, purchase.CostOfRun(s_heron, 30, 2400));
    }

    [Fact]
    public void Term_SpreadsWhatIsPaidUpFrontOverItsMonths()
    {
        // 300 a month and 1,200 up front for 12 months: 300 + 100 = 400; a run's share of 32 is 12.50.
        var purchase = new TermPurchase { Currency = "EUR", PricePerMonth = 300, Upfront = 1200, Months = 12 };

        Assert.Equal(400m, purchase.FixedCostOfMonth(s_heron));
        Assert.Equal(400m, purchase.CostOfMonth(s_heron, 32, 5000));
        Assert.Equal(12.50m, purchase.CostOfRun(s_heron, 32, 5000));
        Assert.Equal(0, purchase.CostOfOneMoreRun(5000));
    }

    [Fact]
    public void Owned_SpreadsItsPriceAndPaysForItsEnergy()
    {
        // 7,200 over 48 months are 150; 500 W x 1.5 x 600 h are 450 kWh at 0.30: 135. Together 285; a run's share of 30 is 9.50.
        var purchase = new OwnedPurchase
        {
            Currency = "EUR",
            PurchasePrice = 7200,
            LifetimeMonths = 48,
            Watts = 500,
            OverheadFactor = 1.5,
            HoursPerMonth = 600,
            PricePerKilowattHour = 0.30m,
        };

        Assert.Equal(285m, purchase.CostOfMonth(s_heron, 30, 2400));
        Assert.Equal(9.50m, purchase.CostOfRun(s_heron, 30, 2400));
        // Without hours stated it is on all month: 500 W x 1 x 730 h are 365 kWh, 109.50.
        Assert.Equal(259.50m, (purchase with { OverheadFactor = 1, HoursPerMonth = PurchaseOption.AlwaysOnHours }).CostOfMonth(s_heron, 30, 2400));
    }

    [Fact]
    public void Licences_ArePaidForPhysicalCoresAndForTheMachine()
    {
        // 8 cores x 5 + 20 = 60 a month, whatever runs. 30 runs of an hour at 1.50 are 45: together 105, 3.50 a run.
        var purchase = new MeteredPurchase { Currency = "EUR", PricePerHour = 1.50m, LicencePerCoreMonth = 5, LicencePerMachineMonth = 20 };

        Assert.Equal(60m, purchase.FixedCostOfMonth(s_heron));
        Assert.Equal(105m, purchase.CostOfMonth(s_heron, 30, 3600));
        Assert.Equal(3.50m, purchase.CostOfRun(s_heron, 30, 3600));
        // More cores than threads count as that many threads: 4 x 5 + 20.
        Assert.Equal(40m, purchase.FixedCostOfMonth(s_heron with { HardwareThreads = 4 }));
        // Term and owned carry them too.
        Assert.Equal(360m, new TermPurchase { Currency = "EUR", PricePerMonth = 300, Months = 1, LicencePerCoreMonth = 5, LicencePerMachineMonth = 20 }.FixedCostOfMonth(s_heron));
    }

    [Fact]
    public void Interruptible_IsBilledAsMetered()
    {
        var purchase = new InterruptiblePurchase { Currency = "EUR", PricePerHour = 0.60m, InterruptionsPerHour = 0.1, IncrementSeconds = 60 };

        Assert.Equal(0.41m, purchase.CostOfOneMoreRun(2400.5));
    }

    [Fact]
    public void EveryWayToPay_AtItsLimits_HasACost()
    {
        const decimal Most = PurchaseOption.MostAmount;
        PurchaseOption[] all =
        [
            new MeteredPurchase { Currency = "EUR", PricePerHour = Most, IncrementSeconds = PurchaseOption.MostHeldSeconds, LicencePerCoreMonth = Most },
            new MeteredPurchase { Currency = "EUR", PricePerHour = Most, IncrementSeconds = double.Epsilon },
            new MeteredPurchase { Currency = "EUR", PricePerHour = Most, AlwaysOn = true, MinimumSeconds = PurchaseOption.MostHeldSeconds },
            new TermPurchase { Currency = "EUR", PricePerMonth = Most, Upfront = Most, Months = 1 },
            new InterruptiblePurchase { Currency = "EUR", PricePerHour = Most, InterruptionsPerHour = 0 },
            new OwnedPurchase { Currency = "EUR", PurchasePrice = Most, LifetimeMonths = 1, Watts = 1e9, OverheadFactor = 100, HoursPerMonth = 744, PricePerKilowattHour = Most },
        ];
        MachineType large = s_heron with { HardwareThreads = int.MaxValue, PhysicalCores = int.MaxValue };

        Assert.All(all, purchase =>
        {
            Assert.True(purchase.CostOfMonth(large, PurchaseOption.MostRuns, PurchaseOption.MostHeldSeconds) > 0);
            Assert.True(purchase.CostOfRun(large, PurchaseOption.LeastRuns, PurchaseOption.MostHeldSeconds) > 0);
        });
    }

    [Fact]
    public void FiguresPastTheLimits_AreRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => new MeteredPurchase { Currency = "EUR", PricePerHour = decimal.MaxValue });
        Assert.Throws<ArgumentOutOfRangeException>(() => new TermPurchase { Currency = "EUR", PricePerMonth = 1, Upfront = decimal.MaxValue, Months = 1 });
        Assert.Throws<ArgumentOutOfRangeException>(() => new OwnedPurchase { Currency = "EUR", PurchasePrice = 1, LifetimeMonths = 1, Watts = 1e300 });
        Assert.Throws<ArgumentOutOfRangeException>(() => new InterruptiblePurchase { Currency = "EUR", PricePerHour = 1, InterruptionsPerHour = 1e9 });
        Assert.Throws<ArgumentOutOfRangeException>(() => s_heron.Purchase[0].CostOfOneMoreRun(1e300));
        Assert.Throws<ArgumentOutOfRangeException>(() => s_heron.Purchase[0].CostOfMonth(s_heron, 1e300, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => s_heron.Purchase[0].CostOfRun(s_heron, 1e-300, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => new CurrencyRate { From = "EUR", To = "USD", Rate = 1e-28m, TakenOn = new DateOnly(2026, 11, 3) });
    }
}
