using Capacityplan.EndToEnd.Tests.Browsing;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>A job known by its parts: phases described, simulated, and answered without a single timing.</summary>
public sealed class StructureTests(BrowserFixture fixture) : BrowserTest(fixture)
{
    [Fact]
    public async Task Phases_OfTheDemo_AreSimulatedAndDrawn()
    {
        PlanSheet sheet = await OpenDemoAsync();

        await Expect(sheet.Page.GetByText("200 of 200 runs")).ToBeVisibleAsync();
        foreach (string chart in (string[])["time-shares", "run-spread", "run-picture", "split-size"])
        {
            await sheet.Chart(chart).ScrollIntoViewIfNeededAsync();
            await Expect(sheet.Chart(chart).Locator(".plot svg .trace, .plot svg .bars").First).ToBeAttachedAsync();
        }

        await sheet.Button("End of grid").ClickAsync();

        await Expect(sheet.Button("End of grid")).ToHaveAttributeAsync("aria-pressed", "true");
    }

    [Fact]
    public async Task Phases_DescribedFromNothing_GiveAMachine()
    {
        var sheet = new PlanSheet(await OpenAsync("plans"));
        await sheet.Page.GetByText("New plan", new() { Exact = true }).First.ClickAsync();
        await sheet.Button("Describe the phases").ClickAsync();
        await sheet.Blank("phase 1: length").FillAsync("20 s");
        await sheet.Blank("phase 2: number of units").FillAsync("100,000");
        await sheet.Page.GetByRole(AriaRole.Combobox, new() { Name = "phase 2: how the times of its units are spread" }).SelectOptionAsync("a measured sample");
        await sheet.Blank("phase 2: measured times of units").FillAsync("12 ms\n9 ms\n15 ms\n31 ms\n8 ms\n11 ms");
        await sheet.Blank(BlankLabels.DoneBy).FillAsync("20 min");

        await sheet.ExpectStateAsync("Holds");
        await Expect(sheet.Page.GetByText("6 times read")).ToBeVisibleAsync();
        await Expect(sheet.Page.GetByText("200 of 200 runs")).ToBeVisibleAsync();
        await Expect(sheet.Sentence).ToContainTextAsync("inside the");

        // Another distribution and back: the sample is still there.
        ILocator spread = sheet.Page.GetByRole(AriaRole.Combobox, new() { Name = "phase 2: how the times of its units are spread" });
        await spread.SelectOptionAsync("exponential");
        await Expect(sheet.Alert("Phase 2: how long does a unit take on average? Type it here, such as 290 ms.")).ToBeVisibleAsync();
        await spread.SelectOptionAsync("a measured sample");

        await Expect(sheet.Blank("phase 2: measured times of units")).ToHaveValueAsync("12 ms\n9 ms\n15 ms\n31 ms\n8 ms\n11 ms");
        await sheet.ExpectStateAsync("Holds");
    }
}
