using System.Text;
using System.Text.Json;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Storage.Tests;

public sealed class DemoDataTests
{
    [Fact]
    public void Load_TheDemoThatShips_IsTheFilesOfTheSite()
    {
        using FileStream plan = File.OpenRead(Path.Combine(AppContext.BaseDirectory, "demo", "plan.json"));
        using FileStream catalogue = File.OpenRead(Path.Combine(AppContext.BaseDirectory, "demo", "catalogue.json"));
        DemoData fromFiles = DemoData.Load(plan, catalogue);

        DemoData shipped = DemoData.Load();

        Assert.Equal(fromFiles.Plan, shipped.Plan);
        Samples.AssertSame(fromFiles.Catalogue, shipped.Catalogue);
    }

    [Fact]
    public void Load_TheDemosPlan_HasTheTimingsAsTheyWerePasted()
    {
        PlanDraft plan = DemoData.Load().Plan;

        Assert.Equal(("Night tiles", "Tidemark Hydrographic", "04:00", "05:00"), (plan.Name, plan.Owner, plan.StartsAt, plan.DoneBy));
        Assert.Equal(
            """
            cores   time
            1       6h 28m
            2       3:16:40
            2       3:20:30
            4       104.1 min
            4       1h45m50s
            6       4 420 s
            8       56m50
            8       58,6 min
            12      - killed by the backup
            """.ReplaceLineEndings("\n"),
            plan.TimingsText);
        Assert.Null(plan.CatalogueId);
    }

    [Fact]
    public void Load_TheDemosCatalogue_HasTwelveMachinesWithInventedPrices()
    {
        Catalogue catalogue = DemoData.Load().Catalogue;

        Assert.Equal(("Tidemark", new DateOnly(2026, 11, 3), true), (catalogue.Name, catalogue.PricesOf, catalogue.PricesAreInvented));
        Assert.Equal(12, catalogue.Machines.Length);
        Assert.All(catalogue.Machines, machine => Assert.Matches("^(Wren|Heron|Crane)-[0-9]+$", machine.Name));
        Assert.All(catalogue.Machines, machine => Assert.EndsWith($"-{machine.HardwareThreads}", machine.Name, StringComparison.Ordinal));
        MachineType heron = Assert.Single(catalogue.Machines, machine => machine.Name == "Heron-16");
        Assert.Equal((16, 8, 1.22, 64.0, 45.0), (heron.HardwareThreads, heron.PhysicalCores, heron.RelativeCoreSpeed, heron.MemoryGiB, heron.StartUpSeconds));
        Assert.Equal(
            new MeteredPurchase { Currency = "EUR", PricePerHour = 1.50m, IncrementSeconds = 1, MinimumSeconds = 60 },
            Assert.Single(heron.Purchase));
    }

    [Fact]
    public void Load_AFileOfAnotherForm_IsRefused()
    {
        static Stream Text(string text) => new MemoryStream(Encoding.UTF8.GetBytes(text));

        Assert.Throws<JsonException>(() => DemoData.Load(Text("{ \"unknown\": 1 }"), Text("{}")));
        Assert.Throws<JsonException>(() => DemoData.Load(Text("null"), Text("{}")));
        Assert.Throws<JsonException>(() => DemoData.Load(Text("{}"), Text("{}")));
    }
}
