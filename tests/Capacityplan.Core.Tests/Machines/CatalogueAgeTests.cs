using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Tests.Machines;

public sealed class CatalogueAgeTests
{
    private static readonly MachineType s_wren = new()
    {
        Name = "Wren-4",
        HardwareThreads = 4,
        PhysicalCores = 4,
        MemoryGiB = 16,
        Purchase = [new MeteredPurchase { Currency = "EUR", PricePerHour = 0.39m }],
    };

    [Theory]
    [InlineData("2025-09-02", "2026-11-03", 14, true)]
    [InlineData("2025-11-03", "2026-11-03", 12, true)]
    [InlineData("2025-11-03", "2026-11-04", 12, true)]
    [InlineData("2026-05-03", "2026-11-03", 6, false)]
    [InlineData("2026-05-03", "2026-11-04", 6, true)]
    [InlineData("2026-05-04", "2026-11-03", 5, false)]
    [InlineData("2026-11-03", "2026-11-03", 0, false)]
    [InlineData("2026-12-01", "2026-11-03", 0, false)]
    [InlineData("2026-01-31", "2026-02-28", 1, false)]
    [InlineData("2024-02-29", "2025-02-28", 12, true)]
    [InlineData("2024-02-29", "2025-03-01", 12, true)]
    public void PriceAge_OfADay_CountsWholeMonthsAndIsStaleAfterSix(string pricesOf, string today, int months, bool isStale)
    {
        var catalogue = new Catalogue { Name = "Birds", PricesOf = Day(pricesOf), Machines = [s_wren] };

        Assert.Equal(months, catalogue.PriceAgeMonths(Day(today)));
        Assert.Equal(isStale, catalogue.PricesAreStale(Day(today)));
    }

    [Fact]
    public void PriceAge_OfAnUnknownDay_IsUnknownAndStaleWhereThereArePrices()
    {
        var catalogue = new Catalogue { Name = "Birds", Machines = [] };

        Assert.Null(catalogue.PriceAgeMonths(Day("2026-11-03")));
        Assert.False(catalogue.PricesAreStale(Day("2026-11-03")));
        Assert.True((catalogue with { Machines = [s_wren] }).PricesAreStale(Day("2026-11-03")));
    }

    private static DateOnly Day(string text) => DateOnly.ParseExact(text, "yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture);
}
