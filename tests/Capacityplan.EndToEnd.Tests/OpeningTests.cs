using System.Text.RegularExpressions;
using Capacityplan.EndToEnd.Tests.Browsing;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>The first visit.</summary>
public sealed partial class OpeningTests(BrowserFixture fixture) : BrowserTest(fixture)
{
    /// <inheritdoc/>
    protected override bool HasOwnServer => true;

    [Fact]
    public async Task FirstVisit_LeadsToTheDemoWithItsAnswerChartsAndMachines()
    {
        PlanSheet sheet = await OpenDemoAsync();

        await Expect(sheet.Page).ToHaveURLAsync(PlanAddress());
        await Expect(sheet.Sentence).ToContainTextAsync("Heron-16 finishes in");
        await sheet.ExpectAnswerAsync(DemoJob.Answer(DemoJob.Draft).Verdict);
        await Expect(sheet.MachineRows).ToHaveCountAsync(10);
        foreach (string chart in PlanSheet.Charts)
            await sheet.ExpectDrawnAsync(chart);
    }

    [GeneratedRegex("/plans/[0-9a-f-]{36}$")]
    private static partial Regex PlanAddress();
}
