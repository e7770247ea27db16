using AngleSharp.Dom;
using Bunit;
using Capacityplan.Core.Exchange;
using Capacityplan.Core.Machines;
using Capacityplan.Storage;
using Capacityplan.Web.Components.Pages;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Forms;

namespace Capacityplan.Web.Tests.Catalogues;

public sealed class CatalogueImportPageTests : PageTest
{
    private const string Two = "machine;threads;cores;RAM (GB);price/h;remarks\nOsprey-24;24;12;96;2,10;good\nPetrel-8;8;8;lots;0,75;\n";

    [Fact]
    public async Task Import_OfATable_ShowsWhatEachColumnMeansAndWhatIsWrongWhere()
    {
        IRenderedComponent<IComponent> page = await ChooseAsync(Two);

        Assert.Equal(["machine", "threads", "cores", "RAM (GB)", "price/h", "remarks"], page.FindAll(".mapping tbody th").Select(head => head.TextContent));
        Assert.Equal(
            ["name", "hardware threads", "physical cores", "memory", "price an hour", "leave out"],
            page.FindAll(".mapping tbody tr").Select(row => row.QuerySelector("select option[selected]")!.TextContent));
        Assert.Equal(["GB", "an hour"], page.FindAll(".mapping td:last-child option[selected]").Select(unit => unit.TextContent));
        Assert.Contains("Osprey-24", page.Find(".preview").TextContent, StringComparison.Ordinal);
        Assert.Contains(page.FindAll(".importproblems li"), line => line.TextContent == "Row 3, “RAM (GB)”: \"lots\" is not an amount of memory. Type one such as 32 GiB.");
        Assert.Contains(page.FindAll(".importproblems li"), line => line.TextContent.Contains("Type the price's currency", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Import_WithColumnsAndCurrencyChosen_FollowsTheChoice()
    {
        IRenderedComponent<IComponent> page = await ChooseAsync(Two);

        page.Find("[aria-label='Currency of amounts that name none']").Change("eur");
        page.Find("[aria-label='What numbers of RAM (GB) count']").Change("GiB");
        Assert.Contains("96 GiB", page.Find(".preview").TextContent, StringComparison.Ordinal);
        Assert.Contains("2.1 EUR an hour", page.Find(".preview").TextContent, StringComparison.Ordinal);

        page.Find("[aria-label='What remarks means']").Change("kind");

        Assert.Contains(page.FindAll(".importproblems li"), line => line.TextContent.StartsWith("Row 2, “remarks”: \"good\" is not a way to pay.", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Import_Added_KeepsTheListAndWhatCannotBeReadAndIsUndone()
    {
        IRenderedComponent<IComponent> page = await ChooseAsync(Two);
        page.Find("[aria-label='Currency of amounts that name none']").Change("EUR");

        Press(page, "Add these machines");
        Store.Clock.Advance(TimeSpan.FromSeconds(1));

        page.WaitForAssertion(() => Assert.StartsWith("Saved", page.Find(".saved").TextContent.Trim(), StringComparison.Ordinal));
        Assert.Equal(["Wren-4", "Heron-16", "Osprey-24", "Petrel-8"], Names(page));
        Assert.Equal("lots", page.FindAll("tr.machine")[3].QuerySelector("[data-field=Memory]")!.GetAttribute("value"));
        StoredCatalogue? stored = await Store.Catalogues.GetDefaultAsync();
        Assert.Equal(["Wren-4", "Heron-16", "Osprey-24"], stored?.Catalogue?.Machines.Select(machine => machine.Name));
        Assert.Equal("lots", stored?.Draft?.Machines[3].Memory);

        Assert.StartsWith("Added 2 machines from birds.csv.", page.Find(".undo").TextContent.Trim(), StringComparison.Ordinal);
        page.FindAll(".undo button")[0].Click();

        Assert.Equal(["Wren-4", "Heron-16"], Names(page));
    }

    [Fact]
    public async Task Import_InPlaceOfTheList_TakesTheFilesDayAndIsUndone()
    {
        byte[] file = CatalogueExport.ToSpreadsheet(new Catalogue { Name = "Gulls", PricesOf = new DateOnly(2026, 11, 20), Machines = [TemporaryStore.Bird("Wren-4", 4, 0.41m)] });
        IRenderedComponent<IComponent> page = await ChooseAsync(InputFileContent.CreateFromBinary(file, "gulls.xlsx"));
        Assert.Contains("Wren-4 stands in the list already.", page.Find(".import .doubts").TextContent, StringComparison.Ordinal);

        Press(page, "Replace the list");

        Assert.Equal(["Wren-4"], Names(page));
        Assert.Equal("20 Nov 2026", page.Find(".c-day").GetAttribute("value"));
        page.FindAll(".undo button")[0].Click();
        Assert.Equal(["Wren-4", "Heron-16"], Names(page));
        Assert.Equal("3 Nov 2026", page.Find(".c-day").GetAttribute("value"));
    }

    [Fact]
    public async Task Import_OfAFileThatCannotBe_SaysWhyAndChangesNothing()
    {
        IRenderedComponent<IComponent> page = await ChooseAsync("machine,price\n\"Wren,1\n");

        Assert.Equal("Birds.csv: The quotation mark that opens a cell on line 2 is never closed. Close it, or double it if it belongs to the text.", page.Find(".import [role=alert]").TextContent);
        Assert.Empty(page.FindAll(".mapping"));
        Assert.Equal(["Wren-4", "Heron-16"], Names(page));
    }

    [Fact]
    public async Task WayToPay_AddedFilledAndRemoved_IsSavedAndPutBack()
    {
        IRenderedComponent<IComponent> page = await OpenAsync();
        page.Find("[aria-label='Ways to pay for Wren-4']").Click();
        page.Find("[aria-label='Add a way to pay for Wren-4: for a term']").Click();
        Assert.Contains("Does not count yet. Still to type: price a month, months of the term.", page.Find(".waylist").TextContent, StringComparison.Ordinal);

        Way(page, MachineField.PricePerMonth).Input("120");
        Way(page, MachineField.TermMonths).Input("year");
        Way(page, MachineField.TermMonths).Change("year");
        Assert.Contains("Months of the term: \"year\" is not a whole number.", page.Find(".waylist .flag").TextContent, StringComparison.Ordinal);
        Assert.Equal("true", Way(page, MachineField.TermMonths).GetAttribute("aria-invalid"));
        Way(page, MachineField.TermMonths).Input("12");
        Way(page, MachineField.LicencePerCore).Input("2.50");
        Store.Clock.Advance(TimeSpan.FromSeconds(1));

        page.WaitForAssertion(() => Assert.StartsWith("Saved", page.Find(".saved").TextContent.Trim(), StringComparison.Ordinal));
        var term = new TermPurchase { Currency = "EUR", PricePerMonth = 120, Months = 12, LicencePerCoreMonth = 2.5m };
        Assert.Equal(term, (await Store.Catalogues.GetDefaultAsync())?.Catalogue?.Machines[0].Purchase[1]);

        page.Find("[aria-label='Remove for a term of Wren-4']").Click();
        Assert.Empty(page.FindAll(".way select"));
        page.FindAll(".addway button").Single(button => button.TextContent == "Put it back").Click();
        Assert.Equal("120", Way(page, MachineField.PricePerMonth).GetAttribute("value"));
    }

    [Fact]
    public async Task ConversionRate_AddedAndFilled_IsSavedAndRemindsOfItsAge()
    {
        IRenderedComponent<IComponent> page = await OpenAsync();
        page.FindAll(".rates button").Single(button => button.TextContent == "Add a conversion rate").Click();
        Assert.Equal(["", "", "EUR", "24 Nov 2026"], page.FindAll(".rate input").Select(blank => blank.GetAttribute("value") ?? ""));

        page.Find("[aria-label='Currency converted']").Input("chf");
        page.Find("[aria-label='Conversion rate']").Input("1.07");
        Store.Clock.Advance(TimeSpan.FromSeconds(1));

        page.WaitForAssertion(() => Assert.StartsWith("Saved", page.Find(".saved").TextContent.Trim(), StringComparison.Ordinal));
        Assert.Equal(
            new CurrencyRate { From = "CHF", To = "EUR", Rate = 1.07m, TakenOn = new DateOnly(2026, 11, 24) },
            Assert.Single((await Store.Catalogues.GetDefaultAsync())!.Catalogue!.Rates));
        page.Find("[aria-label='Day of the rate']").Input("3 Nov 2025");
        page.Find("[aria-label='Day of the rate']").Change("3 Nov 2025");
        Assert.Contains("older than six months", page.Find(".rates .doubts").TextContent, StringComparison.Ordinal);
    }

    private Task<IRenderedComponent<IComponent>> ChooseAsync(string text) => ChooseAsync(InputFileContent.CreateFromText(text, "birds.csv"));

    private async Task<IRenderedComponent<IComponent>> ChooseAsync(InputFileContent file)
    {
        IRenderedComponent<IComponent> page = await OpenAsync();
        page.FindAll(".catalogueacts button").Single(button => button.TextContent == "Import from a file").Click();
        page.FindComponent<InputFile>().UploadFiles(file);
        await page.WaitForElementAsync(".mapping, .import [role=alert]");
        return page;
    }

    private async Task<IRenderedComponent<IComponent>> OpenAsync()
    {
        await Store.Catalogues.CreateAsync(TemporaryStore.Birds());
        IRenderedComponent<IComponent> page = Open<MachinesPage>("machines");
        await page.WaitForElementAsync("tr.machine");
        return page;
    }

    private static IElement Way(IRenderedComponent<IComponent> page, MachineField field) => page.Find($"[id^=way-][id$='-1-{field}']");

    private static void Press(IRenderedComponent<IComponent> page, string words) =>
        page.FindAll(".import button").Single(button => button.TextContent == words).Click();

    private static string?[] Names(IRenderedComponent<IComponent> page) =>
        [.. page.FindAll("[data-field=Name]").Select(cell => cell.GetAttribute("value"))];
}
