using Capacityplan.Core.Planning;
using Capacityplan.EndToEnd.Tests.Browsing;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>What was typed outlives the page, the connection and the server.</summary>
public sealed class KeepingTests(BrowserFixture fixture) : BrowserTest(fixture)
{
    /// <inheritdoc/>
    protected override bool HasOwnServer => true;

    private const string Timings = "1 core: 301 min\n4 cores: 82 min\n8 cores: 46 min";

    [Fact]
    public async Task Server_Restarted_StillHasTheEditedPlan()
    {
        PlanDraft draft = DemoJob.Draft with { Name = "Tide tables", Growth = "3 %", TimingsText = Timings };
        PlanSheet sheet = await OpenDemoAsync();
        string path = new Uri(sheet.Page.Url).AbsolutePath;
        await sheet.SaveAsync(() => sheet.Blank(BlankLabels.Name).FillAsync(draft.Name));
        await sheet.SaveAsync(() => sheet.Blank(BlankLabels.Growth).FillAsync(draft.Growth));
        await sheet.SaveAsync(() => sheet.Paste.FillAsync(draft.TimingsText));

        await RestartAsync();

        sheet = await OpenDemoAsync();
        Assert.Equal(path, new Uri(sheet.Page.Url).AbsolutePath);
        await Expect(sheet.Page).ToHaveTitleAsync("Tide tables: Capacityplan");
        await Expect(sheet.Blank(BlankLabels.Name)).ToHaveValueAsync(draft.Name);
        await Expect(sheet.Blank(BlankLabels.Growth)).ToHaveValueAsync(draft.Growth);
        await Expect(sheet.Paste).ToHaveValueAsync(draft.TimingsText);
        await sheet.ExpectAnswerAsync(DemoJob.Answer(draft).Verdict);
    }

    [Fact]
    public async Task Page_Closed_SavesWhatWasTypedLast()
    {
        PlanSheet sheet = await OpenDemoAsync();
        await sheet.Blank(BlankLabels.DoneBy).FillAsync("05:30");
        await sheet.ExpectAnswerAsync(DemoJob.Answer(DemoJob.Draft with { DoneBy = "05:30" }).Verdict);

        await RestartAsync();

        sheet = await OpenDemoAsync();
        await Expect(sheet.Blank(BlankLabels.DoneBy)).ToHaveValueAsync("05:30");
    }

    [Fact]
    public async Task Server_RestartedUnderAnOpenPage_LeavesWhatWasTypedOnIt()
    {
        PlanSheet sheet = await OpenDemoAsync();
        Foresee(sheet.Page, "/_blazor");
        Foresee(sheet.Page, "/_framework/blazor.web.");
        await sheet.SaveAsync(() => sheet.Paste.FillAsync(Timings));

        await RestartUnderOpenPagesAsync();

        ILocator dialog = sheet.Page.GetByRole(AriaRole.Dialog);
        await Expect(dialog).ToContainTextAsync("The server no longer has this page open.", new() { UseInnerText = true });
        await Expect(sheet.Paste).ToHaveValueAsync(Timings);
        await dialog.GetByRole(AriaRole.Button, new() { Name = "Load it again", Exact = true }).ClickAsync();

        await sheet.ExpectAnswerAsync(DemoJob.Answer(DemoJob.Draft with { TimingsText = Timings }).Verdict);
        await Expect(sheet.Paste).ToHaveValueAsync(Timings);
    }
}
