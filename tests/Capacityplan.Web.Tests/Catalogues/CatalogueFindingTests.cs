using Capacityplan.Core.Machines;
using Capacityplan.Web.Components.Catalogues;

namespace Capacityplan.Web.Tests.Catalogues;

public sealed class CatalogueFindingTests
{
    private static readonly MachineType s_wren = TemporaryStore.Bird("Wren-2", 2, 0.2m);
    private static readonly MachineType s_heron = TemporaryStore.Bird("Heron-16", 16, 1.5m);

    [Fact]
    public void Finding_OfMachines_SaysHowManyHowLargeAndWhatAnHourCosts()
    {
        Assert.Equal("No machine yet. Add one you could use.", CatalogueFinding.Of([]));
        Assert.Equal("One machine with 16 hardware threads, at €1.50 an hour.", CatalogueFinding.Of([s_heron]));
        Assert.Equal("Two machines from 2 to 16 hardware threads, at €0.20 to €1.50 an hour.", CatalogueFinding.Of([s_heron, s_wren]));
    }

    [Fact]
    public void Finding_OfMachinesInSeveralCurrencies_LeavesPricesOut()
    {
        MachineType dear = s_heron with { Name = "b", Purchase = [new MeteredPurchase { Currency = "USD", PricePerHour = 3 }] };

        Assert.Equal("Two machines with 16 hardware threads.", CatalogueFinding.Of([s_heron, dear]));
    }
}
