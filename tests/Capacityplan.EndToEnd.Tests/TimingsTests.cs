using Capacityplan.Core;
using Capacityplan.Core.Planning;
using Capacityplan.EndToEnd.Tests.Browsing;
using Capacityplan.Web.Components.Charts;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>Timings pasted and typed: what everything below follows from.</summary>
public sealed class TimingsTests(BrowserFixture fixture) : BrowserTest(fixture)
{
    private const string FiveLines = "cores  time\n1  301 min\n2  155 min\n4  82 min\n8  46 min";
    private const string Rubbish = "as far as I remember\n3 cores: soon\nand 12.5 cores: 41 min";

    [Fact]
    public async Task Paste_FromTheClipboard_ChangesAnswerChartsAndMachines()
    {
        PlanDraft draft = DemoJob.Draft with { TimingsText = FiveLines, DoneBy = "45 min" };
        PlanResult expected = DemoJob.Answer(draft);
        PlanSheet sheet = await OpenDemoAsync();
        await sheet.ExpectDrawnAsync("run-time");
        string before = await sheet.DrawingAsync("run-time");

        await sheet.Page.Context.GrantPermissionsAsync(["clipboard-read", "clipboard-write"]);
        await sheet.Page.EvaluateAsync("text => navigator.clipboard.writeText(text)", FiveLines);
        await sheet.Paste.PressAsync("Control+A");
        await sheet.Paste.PressAsync("Control+V");
        await sheet.Blank(BlankLabels.DoneBy).FillAsync("45 min");

        await ExpectEverywhereAsync(sheet, expected);
        await sheet.ExpectRedrawnAsync("run-time", before);
        Assert.NotEqual(DemoJob.Answer(DemoJob.Draft).Verdict.Sentence, expected.Verdict.Sentence);
    }

    [Fact]
    public async Task Paste_TypedByHand_IsReadAsItStands()
    {
        PlanDraft draft = DemoJob.Draft with { TimingsText = FiveLines };
        PlanSheet sheet = await OpenDemoAsync();

        await sheet.Paste.FillAsync("");
        await sheet.Paste.PressSequentiallyAsync(FiveLines);

        await Expect(sheet.Paste).ToHaveValueAsync(FiveLines);
        await ExpectEverywhereAsync(sheet, DemoJob.Answer(draft));
    }

    [Fact]
    public async Task Paste_Rubbish_IsPointedAtAndTheLastAnswerStandsUntilItIsMended()
    {
        Problem[] expected = [.. DemoJob.Reading(DemoJob.Draft with { TimingsText = Rubbish }).Timings.Problems];
        Verdict last = DemoJob.Answer(DemoJob.Draft).Verdict;
        PlanSheet sheet = await OpenDemoAsync();

        await sheet.Paste.FillAsync(Rubbish);

        await sheet.ExpectStateAsync("Stale");
        await Expect(sheet.Sentence).ToHaveTextAsync(last.Sentence, new() { UseInnerText = true });
        await Expect(sheet.Answer).ToContainTextAsync("The last answer stands.");
        await Expect(sheet.Paste).ToHaveValueAsync(Rubbish);
        Assert.Contains(expected, problem => problem is { Line: 3, Column: not null });
        foreach (Problem problem in expected)
            await Expect(sheet.PasteProblems).ToContainTextAsync((problem.Line is { } line ? $"Line {line}, column {problem.Column}: " : "") + problem.Message);

        await sheet.Paste.FillAsync(DemoJob.Draft.TimingsText);

        await sheet.ExpectAnswerAsync(last);
    }

    [Fact]
    public async Task UnderstoodTime_CorrectedInItsTable_ChangesThePaste()
    {
        PlanDraft draft = DemoJob.Draft with { TimingsText = FiveLines.Replace("46 min", "61 min", StringComparison.Ordinal) };
        PlanSheet sheet = await OpenDemoAsync();
        await sheet.Paste.FillAsync(FiveLines);
        ILocator time = sheet.Page.GetByRole(AriaRole.Textbox, new() { Name = "Time on 8 cores, line 5", Exact = true });

        await time.FillAsync("61 min");
        await time.PressAsync("Tab");

        await Expect(sheet.Paste).ToHaveValueAsync(draft.TimingsText);
        await ExpectEverywhereAsync(sheet, DemoJob.Answer(draft));
    }

    private static async Task ExpectEverywhereAsync(PlanSheet sheet, PlanResult expected)
    {
        var view = ScalingChartView.For(expected);
        await sheet.ExpectAnswerAsync(expected.Verdict);
        await sheet.ExpectFindingAsync(RunTimeChart.Build(expected, view));
        await sheet.ExpectFindingAsync(SpeedupChart.Build(expected, view));
        await sheet.ExpectFindingAsync(CostChart.Build(expected));
        await sheet.ExpectFindingAsync(MachineSizeChart.Build(expected));
        MachineOutcome[] shown = [.. expected.Machines.Where(outcome => outcome.Fits)];
        await Expect(sheet.MachineRows).ToHaveCountAsync(shown.Length);
        await Expect(sheet.MachineRows.Nth(0)).ToContainTextAsync(shown[0].Why!);
        await Expect(sheet.MachineRows.Nth(0)).ToContainTextAsync(Figures.Time(shown[0].StartToFinishSeconds.Median));
    }
}
