using Capacityplan.EndToEnd.Tests.Browsing;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>The first visit.</summary>
public sealed class OpeningTests(BrowserFixture fixture) : BrowserTest(fixture)
{
    private static readonly string[] s_charts = ["run-time", "speedup", "cost", "machine-size"];

    [Fact]
    public async Task FirstVisit_LeadsToTheDemoWithItsAnswer()
    {
        PlanSheet sheet = await OpenDemoAsync();

        await Expect(sheet.Page).ToHaveURLAsync(new System.Text.RegularExpressions.Regex("/plans/[0-9a-f-]{36}$"));
        await sheet.ExpectAnswerAsync("Heron-16 finishes in");
        await Expect(sheet.MachineRows).ToHaveCountAsync(10);
        foreach (string chart in s_charts)
        {
            await sheet.Chart(chart).ScrollIntoViewIfNeededAsync();
            await Expect(sheet.Traces(chart)).Not.ToHaveCountAsync(0);
        }
    }
}
