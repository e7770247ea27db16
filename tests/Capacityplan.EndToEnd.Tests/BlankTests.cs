using Capacityplan.Core.Planning;
using Capacityplan.EndToEnd.Tests.Browsing;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>The blanks: what they take, and what is said where they cannot be understood.</summary>
public sealed class BlankTests(BrowserFixture fixture) : BrowserTest(fixture)
{
    [Fact]
    public async Task Blank_Nonsense_IsSaidBesideItAndTheLastAnswerStandsUntilItIsMended()
    {
        string words = Assert.Single(DemoJob.Reading(DemoJob.Draft with { Memory = "abc" }).Blanks).Message;
        Verdict last = DemoJob.Answer(DemoJob.Draft).Verdict;
        PlanSheet sheet = await OpenDemoAsync();

        await sheet.Blank(BlankLabels.Memory).FillAsync("abc");

        await Expect(sheet.Alert(words)).ToBeVisibleAsync();
        await Expect(sheet.Blank(BlankLabels.Memory)).ToHaveAttributeAsync("aria-invalid", "true");
        await Expect(sheet.Blank(BlankLabels.Memory)).ToHaveValueAsync("abc");
        await sheet.ExpectStateAsync("Stale");
        await Expect(sheet.Sentence).ToHaveTextAsync(last.Sentence, new() { UseInnerText = true });

        await sheet.Blank(BlankLabels.Memory).FillAsync("24 GiB");

        await Expect(sheet.Alert(words)).ToBeHiddenAsync();
        await sheet.ExpectAnswerAsync(last);
    }

    [Fact]
    public async Task Window_EndBeforeStart_AsksWhetherTheNextDayIsMeant_OrIsSwapped()
    {
        PlanDraft asked = DemoJob.Draft with { DoneBy = "03:00" };
        PlanSheet sheet = await OpenDemoAsync();

        await sheet.Blank(BlankLabels.DoneBy).FillAsync("03:00");
        await Expect(sheet.Sentence).ToContainTextAsync("Is 03:00 the next day?");
        await sheet.ExpectStateAsync("Not yet");
        await sheet.Button("Swap the two").ClickAsync();

        await Expect(sheet.Blank(BlankLabels.StartsAt)).ToHaveValueAsync("03:00");
        await Expect(sheet.Blank(BlankLabels.DoneBy)).ToHaveValueAsync("04:00");
        await sheet.ExpectAnswerAsync(DemoJob.Answer(DemoJob.Draft with { StartsAt = "03:00", DoneBy = "04:00" }).Verdict);

        await sheet.Blank(BlankLabels.StartsAt).FillAsync("04:00");
        await sheet.Blank(BlankLabels.DoneBy).FillAsync("03:00");
        await sheet.Button("Yes, next day").ClickAsync();

        await sheet.ExpectAnswerAsync(DemoJob.Answer(asked with { EndsNextDay = true }).Verdict);
    }

    [Fact]
    public async Task Window_TooShortForAnyMachine_SaysWhichComesClosest()
    {
        Verdict expected = DemoJob.Answer(DemoJob.Draft with { DoneBy = "04:05" }).Verdict;
        Assert.Equal(VerdictState.Misses, expected.State);
        PlanSheet sheet = await OpenDemoAsync();

        await sheet.Blank(BlankLabels.DoneBy).FillAsync("04:05");

        await sheet.ExpectAnswerAsync(expected);
    }

    [Fact]
    public async Task Paste_Cleared_LeavesThePhasesAndThenWorkAndSpanToAnswerFrom()
    {
        PlanDraft draft = DemoJob.Draft with { TimingsText = "" };
        PlanSheet sheet = await OpenDemoAsync();
        ILocator described = sheet.Page.Locator("dl > div").Filter(new() { HasText = "described by" }).GetByRole(AriaRole.Definition);

        await sheet.Paste.FillAsync("");

        await sheet.ExpectAnswerAsync(DemoJob.Answer(draft).Verdict);
        await Expect(described).ToHaveTextAsync("phases, work and span");

        foreach (PhaseDraft phase in draft.Phases)
            await sheet.Button($"Remove {phase.Name}").ClickAsync();

        draft = draft with { Phases = [] };
        await sheet.ExpectAnswerAsync(DemoJob.Answer(draft).Verdict);
        await Expect(described).ToHaveTextAsync("work and span");

        await sheet.Blank("Work, the time of all tasks one after the other").FillAsync("200 min");

        await sheet.ExpectAnswerAsync(DemoJob.Answer(draft with { Work = "200 min" }).Verdict);
    }

    [Fact]
    public async Task WhatIf_MoreInput_NeverAltersTheBase()
    {
        PlanSheet sheet = await OpenDemoAsync();

        await sheet.Blank(BlankLabels.WhatIfInput).FillAsync("3");

        ILocator asked = sheet.Page.GetByRole(AriaRole.Row).Filter(new() { Has = sheet.Page.GetByRole(AriaRole.Rowheader, new() { Name = "what if", Exact = true }) });
        await Expect(asked.GetByRole(AriaRole.Cell).Nth(1))
            .ToContainTextAsync(DemoJob.Answer(DemoJob.Draft, inputFactor: 3).Verdict is { State: VerdictState.Holds, Choice: { } choice } ? choice.Machine.Name : "none");
        await sheet.ExpectAnswerAsync(DemoJob.Answer(DemoJob.Draft).Verdict);
    }
}
