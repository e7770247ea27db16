using Capacityplan.EndToEnd.Tests.Browsing;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>How pages fit a screen.</summary>
public sealed class LayoutTests(BrowserFixture fixture) : BrowserTest(fixture)
{
    [Theory]
    [InlineData("", true)]
    [InlineData("", false)]
    [InlineData("plans", true)]
    [InlineData("plans", false)]
    [InlineData("machines", true)]
    [InlineData("machines", false)]
    [InlineData("methods", true)]
    [InlineData("methods", false)]
    public async Task Page_IsNoWiderThanItsScreen(string path, bool isPhone)
    {
        ViewportSize screen = isPhone ? Phone : Desk;
        IPage page = path.Length == 0 ? (await OpenDemoAsync(screen)).Page : await OpenAsync(path, screen);
        await Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToBeVisibleAsync();
        if (path.Length == 0)
        {
            var sheet = new PlanSheet(page);
            await sheet.ExpectStateAsync("Holds");
            foreach (string chart in PlanSheet.Charts)
                await sheet.ExpectDrawnAsync(chart);
        }

        int[] widths = await page.EvaluateAsync<int[]>("[document.documentElement.scrollWidth, document.documentElement.clientWidth]");

        Assert.Equal(widths[1], widths[0]);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Answer_StaysInViewWhenScrolled(bool isPhone)
    {
        PlanSheet sheet = await OpenDemoAsync(isPhone ? Phone : Desk);

        await sheet.Page.GetByText("These are forecasts, not promises").ScrollIntoViewIfNeededAsync();
        await sheet.Page.EvaluateAsync("scrollTo(0, document.documentElement.scrollHeight)");
        await Expect(sheet.Page.Locator("html[data-slim]")).ToBeAttachedAsync();

        await Expect(sheet.Sentence).ToBeInViewportAsync(new() { Ratio = 1 });
        LocatorBoundingBoxResult answer = (await sheet.Answer.BoundingBoxAsync())!;
        Assert.Equal(0, answer.Y);
        Assert.InRange(answer.Height, 1, sheet.Page.ViewportSize!.Height / 5.0);
    }
}
