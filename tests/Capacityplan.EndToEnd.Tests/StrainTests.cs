using Capacityplan.Core.Planning;
using Capacityplan.EndToEnd.Tests.Browsing;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>What would break a careless page: very long pastes, very quick typing, markup.</summary>
public sealed class StrainTests(BrowserFixture fixture) : BrowserTest(fixture)
{
    /// <inheritdoc/>
    /// <remarks>What strains a server is not to strain the tests beside it.</remarks>
    protected override bool HasOwnServer => true;

    /// <summary>Made in the page, as a paste is: two million characters, the most a field takes, that no line of timings can be found in.</summary>
    private const string PasteRubbish =
        """
        (paste, lineLength) => {
          const letters = "abcdefghijklmnopqrstuvwxyz .,:;<>&\"'|";
          let text = "";
          for (let at = 1, next = 1; at <= 2_000_000; at++) {
            next = (next * 16807) % 2147483647;
            text += at % lineLength === 0 ? "\n" : letters[next % letters.length];
          }
          paste.value = text;
          paste.dispatchEvent(new InputEvent("input", { bubbles: true }));
        }
        """;

    /// <summary>Set at once, since the browser's own editing takes half a minute to select and replace 25,000 lines.</summary>
    private const string PutBack =
        """
        (paste, text) => {
          paste.value = text;
          paste.dispatchEvent(new InputEvent("input", { bubbles: true }));
        }
        """;

    [Theory]
    [InlineData(80)]
    [InlineData(2_000_000)]
    public async Task Paste_TwoMillionCharactersOfRubbish_LeavesThePageAlive(int lineLength)
    {
        PlanSheet sheet = await OpenDemoAsync();

        await sheet.Paste.EvaluateAsync(PasteRubbish, lineLength);
        await sheet.ExpectStateAsync("Stale");
        await sheet.Paste.EvaluateAsync(PutBack, DemoJob.Draft.TimingsText);
        await sheet.Blank(BlankLabels.DoneBy).FillAsync("05:10");

        await sheet.ExpectAnswerAsync(DemoJob.Answer(DemoJob.Draft with { DoneBy = "05:10" }).Verdict);
    }

    [Fact]
    public async Task Typing_FasterThanAnswersCome_LosesNoCharacter()
    {
        const string Timings = "1 core 301 min\n2 cores 155 min\n3 cores 108 min\n4 cores 82 min\n6 cores 59 min\n8 cores 46 min\n10 cores 39 min";
        const string Name = "Night tiles of the northern harbours, with the soundings of both survey ships and the tide gauges";
        Assert.True(Timings.Length >= 100);
        PlanDraft draft = DemoJob.Draft with { TimingsText = Timings, Name = Name, DoneBy = "05:25" };
        PlanSheet sheet = await OpenDemoAsync();

        await sheet.Paste.FillAsync("");
        await sheet.Paste.PressSequentiallyAsync(Timings);
        await sheet.Blank(BlankLabels.Name).FillAsync("");
        await sheet.Blank(BlankLabels.Name).PressSequentiallyAsync(Name);
        await sheet.Blank(BlankLabels.DoneBy).FillAsync("");
        await sheet.Blank(BlankLabels.DoneBy).PressSequentiallyAsync("05:25");

        await sheet.ExpectAnswerAsync(DemoJob.Answer(draft).Verdict);
        await Expect(sheet.Paste).ToHaveValueAsync(Timings);
        await Expect(sheet.Blank(BlankLabels.Name)).ToHaveValueAsync(Name);
        await Expect(sheet.Blank(BlankLabels.DoneBy)).ToHaveValueAsync("05:25");
    }

    [Fact]
    public async Task Markup_PastedAndTyped_IsShownAsText()
    {
        const string Script = "<script>alert(1)</script>";
        const string Picture = "<img src=x onerror=alert(2)>";
        PlanSheet sheet = await OpenDemoAsync();

        await sheet.Paste.FillAsync($"{Script}\n2 cores: {Picture}\n4 cores: 82 min\n8 cores: 46 min");
        await sheet.Blank(BlankLabels.Name).FillAsync(Picture);
        await sheet.Blank(BlankLabels.MeasuredOn).FillAsync(Script);
        await sheet.SaveAsync(() => sheet.Blank(BlankLabels.Memory).FillAsync(Picture));

        await Expect(sheet.Page.Locator(".paste .marks")).ToContainTextAsync("<img src=x");
        await Expect(sheet.Page.GetByRole(Microsoft.Playwright.AriaRole.Alert)).ToContainTextAsync("<img src=x onerror=alert");
        await Expect(sheet.Page.GetByText(Script)).Not.ToHaveCountAsync(0);
        await Expect(sheet.Page).ToHaveTitleAsync($"{Picture}: Capacityplan");
        Assert.Equal(0, await sheet.Page.Locator("main script, main img").CountAsync());
    }
}
