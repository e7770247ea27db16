using AngleSharp.Dom;
using Bunit;
using Capacityplan.Core.Machines;
using Capacityplan.Storage;
using Capacityplan.Web.Components.Pages;
using Microsoft.AspNetCore.Components;

namespace Capacityplan.Web.Tests.Catalogues;

public sealed class MachinesPageTests : PageTest
{
    [Fact]
    public async Task Page_OfACatalogue_ShowsEveryFigureAndTheReminder()
    {
        IRenderedComponent<IComponent> page = await OpenAsync(TemporaryStore.Birds() with { PricesAreInvented = true });

        Assert.Equal("Two machines from 4 to 16 hardware threads, at €0.39 to €1.50 an hour.", page.Find("h1").TextContent.Trim());
        Assert.Equal(
            ["Heron-16", "16", "8", "1", "64", "", "45", "1.50", "EUR", "1", "60"],
            page.FindAll("tr.machine")[1].QuerySelectorAll("input").Select(cell => cell.GetAttribute("value")));
        Assert.Equal("Price an hour of Heron-16", Cell(page, 1, MachineField.PricePerHour).GetAttribute("aria-label"));
        Assert.Equal("3 Nov 2026", page.Find(".c-day").GetAttribute("value"));
        Assert.Contains("Prices are what was entered: check the provider’s current list before buying.", page.Find(".caution").TextContent, StringComparison.Ordinal);
        Assert.True(page.Find("input[type=checkbox]").HasAttribute("checked"));
        Assert.StartsWith("Saved", page.Find(".saved").TextContent.Trim(), StringComparison.Ordinal);
        Assert.DoesNotContain("stale", page.Find(".answer").ClassName, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Cell_ChangedRightly_IsSavedAndTold()
    {
        IRenderedComponent<IComponent> page = await OpenAsync(TemporaryStore.Birds());

        Cell(page, 0, MachineField.Memory).Input("24 GiB");
        Cell(page, 0, MachineField.Memory).Change("24 GiB");
        Assert.Equal("Saving", page.Find(".saved").TextContent.Trim());
        Store.Clock.Advance(TimeSpan.FromSeconds(1));

        page.WaitForAssertion(() => Assert.Equal("Saved 21:14", page.Find(".saved").TextContent.Trim()));
        Assert.Equal(24, (await Store.Catalogues.GetDefaultAsync())?.Catalogue?.Machines[0].MemoryGiB);
        Assert.Equal("24 GiB", Cell(page, 0, MachineField.Memory).GetAttribute("value"));
    }

    [Fact]
    public async Task Cell_ChangedWrongly_KeepsItsTextSaysWhatIsWrongAndSavesTheRest()
    {
        IRenderedComponent<IComponent> page = await OpenAsync(TemporaryStore.Birds());

        Cell(page, 0, MachineField.PricePerHour).Input("0.4o");
        Assert.Empty(page.FindAll(".flag"));
        Cell(page, 0, MachineField.PricePerHour).Change("0.4o");
        Cell(page, 1, MachineField.Memory).Input("96");
        Store.Clock.Advance(TimeSpan.FromSeconds(1));

        page.WaitForAssertion(() => Assert.StartsWith("Saved", page.Find(".saved").TextContent.Trim(), StringComparison.Ordinal));
        IElement cell = Cell(page, 0, MachineField.PricePerHour), flag = page.Find(".flag");
        Assert.Equal(
            "Price an hour: \"0.4o\" is not a number. Type one such as 1.50; its currency has a cell of its own. Until then plans use Wren-4 as it was.",
            flag.TextContent);
        Assert.Equal(("0.4o", "true", flag.Id), (cell.GetAttribute("value"), cell.GetAttribute("aria-invalid"), cell.GetAttribute("aria-describedby")));
        Assert.Contains("one cell not read yet", page.Find(".answer").TextContent, StringComparison.Ordinal);
        StoredCatalogue? stored = await Store.Catalogues.GetDefaultAsync();
        Assert.Equal((0.39m, 96.0), (((MeteredPurchase?)stored?.Catalogue?.Machines[0].Purchase[0])?.PricePerHour, stored?.Catalogue?.Machines[1].MemoryGiB));
    }

    [Fact]
    public async Task Page_OpenedAgain_StillHoldsWhatCouldNotBeRead()
    {
        StoredCatalogue stored = await Store.Catalogues.CreateAsync(TemporaryStore.Birds());
        CatalogueDraft draft = CatalogueDraft.Of(stored.Catalogue!);
        await Store.Catalogues.SaveAsync(
            stored.Id, stored.Catalogue!, draft with { Machines = [draft.Machines[0] with { Memory = "lots" }, draft.Machines[1], new MachineDraft { Name = "Crane-48" }] }, stored.Version);

        IRenderedComponent<IComponent> page = await OpenAsync();

        Assert.Equal("lots", Cell(page, 0, MachineField.Memory).GetAttribute("value"));
        Assert.Contains("\"lots\" is not an amount of memory.", page.Find(".flag").TextContent, StringComparison.Ordinal);
        Assert.Equal("Crane-48", Cell(page, 2, MachineField.Name).GetAttribute("value"));
        Assert.StartsWith("Not in the catalogue yet. Still to type: hardware threads,", page.Find("tr.words .small").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Machine_DuplicatedAndDeleted_CanBePutBack()
    {
        IRenderedComponent<IComponent> page = await OpenAsync(TemporaryStore.Birds());

        page.Find("[aria-label='Duplicate Wren-4']").Click();
        Assert.Equal(["Wren-4", "Wren-4 copy", "Heron-16"], Names(page));
        page.Find("[aria-label='Delete Wren-4']").Click();
        Assert.Equal(["Wren-4 copy", "Heron-16"], Names(page));
        Store.Clock.Advance(TimeSpan.FromSeconds(1));
        page.WaitForAssertion(() => Assert.StartsWith("Saved", page.Find(".saved").TextContent.Trim(), StringComparison.Ordinal));
        Assert.Equal(["Wren-4 copy", "Heron-16"], (await Store.Catalogues.GetDefaultAsync())?.Catalogue?.Machines.Select(machine => machine.Name));

        Assert.StartsWith("Deleted “Wren-4”.", page.Find(".undo").TextContent.Trim(), StringComparison.Ordinal);
        page.FindAll(".undo button").Single(button => button.TextContent == "Put it back").Click();

        Assert.Equal(["Wren-4", "Wren-4 copy", "Heron-16"], Names(page));
        Assert.Empty(page.FindAll(".undo"));
    }

    [Fact]
    public async Task Conflict_OfTwoPages_IsToldAndPutTogether()
    {
        IRenderedComponent<IComponent> page = await OpenAsync(TemporaryStore.Birds());
        StoredCatalogue stored = (await Store.Catalogues.GetDefaultAsync())!;
        Catalogue theirs = stored.Catalogue! with { Machines = [stored.Catalogue!.Machines[0], stored.Catalogue.Machines[1] with { MemoryGiB = 48 }] };
        await Store.Catalogues.SaveAsync(stored.Id, theirs, stored.Version);

        Cell(page, 0, MachineField.PricePerHour).Input("0.42");
        Store.Clock.Advance(TimeSpan.FromSeconds(1));
        page.WaitForAssertion(() => Assert.Contains("Somebody else saved this catalogue", page.Find(".conflict").TextContent, StringComparison.Ordinal));
        Assert.Equal("0.42", Cell(page, 0, MachineField.PricePerHour).GetAttribute("value"));

        page.FindAll(".conflict button").Single(button => button.TextContent == "Put theirs and mine together").Click();
        Store.Clock.Advance(TimeSpan.FromSeconds(1));

        page.WaitForAssertion(() => Assert.StartsWith("Saved", page.Find(".saved").TextContent.Trim(), StringComparison.Ordinal));
        Catalogue? together = (await Store.Catalogues.GetDefaultAsync())?.Catalogue;
        Assert.Equal((0.42m, 48.0), (((MeteredPurchase?)together?.Machines[0].Purchase[0])?.PricePerHour, together?.Machines[1].MemoryGiB));
        Assert.Empty(page.FindAll(".conflict"));
    }

    [Fact]
    public async Task Conflict_DroppingMine_ShowsTheirs()
    {
        IRenderedComponent<IComponent> page = await OpenAsync(TemporaryStore.Birds());
        StoredCatalogue stored = (await Store.Catalogues.GetDefaultAsync())!;
        await Store.Catalogues.SaveAsync(stored.Id, stored.Catalogue! with { Name = "Other birds" }, stored.Version);
        Cell(page, 0, MachineField.PricePerHour).Input("0.42");
        Store.Clock.Advance(TimeSpan.FromSeconds(1));
        page.WaitForElement(".conflict");

        page.FindAll(".conflict button").Single(button => button.TextContent == "Drop mine and load theirs").Click();

        page.WaitForAssertion(() => Assert.Equal("Other birds", page.Find(".c-name").GetAttribute("value")));
        Assert.Equal("0.39", Cell(page, 0, MachineField.PricePerHour).GetAttribute("value"));
        Assert.Equal((2, 0.39m), ((await Store.Catalogues.GetDefaultAsync())?.Version, PriceOfFirst(await Store.Catalogues.GetDefaultAsync())));
    }

    [Fact]
    public async Task Prices_OlderThanHalfAYear_AreStaleUntilConfirmed()
    {
        IRenderedComponent<IComponent> page = await OpenAsync(TemporaryStore.Birds(new DateOnly(2025, 9, 2)));
        Assert.Contains("stale", page.Find(".answer").ClassName, StringComparison.Ordinal);
        Assert.StartsWith("Prices are 14 months old.", page.Find("h1").TextContent.Trim(), StringComparison.Ordinal);

        page.FindAll(".doubts button").Single(button => button.TextContent == "They still stand today").Click();

        Assert.DoesNotContain("stale", page.Find(".answer").ClassName, StringComparison.Ordinal);
        Assert.Equal("24 Nov 2026", page.Find(".c-day").GetAttribute("value"));
    }

    [Fact]
    public async Task Page_WithoutACatalogue_StartsOneOrTakesTheExample()
    {
        IRenderedComponent<IComponent> page = await OpenAsync();
        Assert.Equal("No machines yet", page.Find("h1").TextContent);

        page.Find(".btn.main").Click();

        page.WaitForAssertion(() => Assert.Equal([""], Names(page)));
        Assert.NotNull(await Store.Catalogues.GetDefaultAsync());
    }

    [Fact]
    public async Task Page_OfACatalogueThatCannotBeRead_KeepsItsText()
    {
        await Store.Catalogues.CreateAsync(TemporaryStore.Birds());
        await Store.DamageAsync("Catalogues", "Document", "{ \"colour\": 1 }");

        IRenderedComponent<IComponent> page = await OpenAsync();

        Assert.Equal("The catalogue “Birds” cannot be read", page.Find("h1").TextContent);
        Assert.Equal("{ \"colour\": 1 }", page.Find(".stored").TextContent);
        Assert.Empty(page.FindAll("table"));
    }

    [Fact]
    public async Task Catalogue_DuplicatedMadeTheDefaultAndDeleted_CanBePutBack()
    {
        IRenderedComponent<IComponent> page = await OpenAsync(TemporaryStore.Birds());

        Act(page, "Duplicate this one");
        page.WaitForAssertion(() => Assert.Equal("Birds, copy", page.Find(".c-name").GetAttribute("value")));
        Act(page, "Make it the default");
        page.WaitForAssertion(() => Assert.Equal(["Birds", "Birds, copydefault"], page.FindAll(".filter a").Select(link => link.TextContent)));
        Assert.Equal("Birds, copy", (await Store.Catalogues.GetDefaultAsync())?.Name);

        Act(page, "Delete this catalogue");
        page.WaitForAssertion(() => Assert.Equal("Birds", page.Find(".c-name").GetAttribute("value")));
        Assert.Single(await Store.Catalogues.ListAsync());
        page.FindAll(".undo button").Single(button => button.TextContent == "Put it back").Click();

        page.WaitForAssertion(() => Assert.Equal("Birds, copy", page.Find(".c-name").GetAttribute("value")));
        Assert.Equal(2, (await Store.Catalogues.ListAsync()).Length);
    }

    private static void Act(IRenderedComponent<IComponent> page, string words) =>
        page.FindAll(".catalogueacts button").Single(button => button.TextContent == words).Click();

    private async Task<IRenderedComponent<IComponent>> OpenAsync(Catalogue? catalogue = null)
    {
        if (catalogue is not null)
            await Store.Catalogues.CreateAsync(catalogue);
        IRenderedComponent<IComponent> page = Open<MachinesPage>("machines");
        await page.WaitForElementAsync("h1");
        return page;
    }

    private static IElement Cell(IRenderedComponent<IComponent> page, int row, MachineField field) =>
        page.FindAll("tr.machine")[row].QuerySelector($"[data-field={field}]")!;

    private static string?[] Names(IRenderedComponent<IComponent> page) =>
        [.. page.FindAll("[data-field=Name]").Select(cell => cell.GetAttribute("value"))];

    private static decimal? PriceOfFirst(StoredCatalogue? stored) => ((MeteredPurchase?)stored?.Catalogue?.Machines[0].Purchase[0])?.PricePerHour;
}
