using System.Text.RegularExpressions;
using Capacityplan.Core.Planning;
using Capacityplan.EndToEnd.Tests.Browsing;
using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>What an automatic checker can tell of a page's accessibility, in both themes, at a desk and on a phone.</summary>
public sealed class AccessibilityTests(BrowserFixture fixture) : BrowserTest(fixture)
{
    // Off unless asked for: targets of 24 by 24 pixels, WCAG 2.2, success criterion 2.5.8.
    private static readonly AxeRunOptions s_options = new() { Rules = new() { ["target-size"] = new() { Enabled = true } } };

    /// <summary>Every page but the plan's, which has a test of its own below, light at a desk and dark on a phone: what
    /// depends on the theme does not depend on the size.</summary>
    public static IEnumerable<TheoryDataRow<string, ColorScheme, bool>> Pages() =>
        from path in new[] { "plans", "machines", "methods" }
        from isPhone in new[] { false, true }
        select new TheoryDataRow<string, ColorScheme, bool>(path, isPhone ? ColorScheme.Dark : ColorScheme.Light, isPhone);

    [Theory]
    [MemberData(nameof(Pages))]
    public async Task Page_HasNoViolation(string path, ColorScheme theme, bool isPhone)
    {
        IPage page = await OpenAsync(path, isPhone ? Phone : Desk, theme);
        await Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToBeVisibleAsync();

        // The page's own title takes the place of the first one a moment after the page; between the two there is none.
        await Expect(page).ToHaveTitleAsync(new Regex(".+: Capacityplan"));
        await ExpectNoViolationAsync(page);
    }

    [Theory]
    [InlineData(ColorScheme.Light, false)]
    [InlineData(ColorScheme.Dark, true)]
    public async Task Plan_WithEverythingOpened_HasNoViolation(ColorScheme theme, bool isPhone)
    {
        PlanSheet sheet = await OpenDemoAsync(isPhone ? Phone : Desk, theme);
        foreach (string chart in PlanSheet.Charts)
            await sheet.Chart(chart).GetByRole(AriaRole.Button, new() { Name = "Show the numbers", Exact = true }).ClickAsync();
        foreach (ILocator costs in await sheet.Page.Locator("summary").AllAsync())
            await costs.ClickAsync();
        await sheet.Button("Show the 2 that do not fit").ClickAsync();
        Verdict verdict = DemoJob.Answer(DemoJob.Draft).Verdict;
        await sheet.Figure((isPhone ? verdict.BriefParts : verdict.Parts).Single(part => part.Kind == AnswerPartKind.Chance)).ClickAsync();
        await Expect(sheet.Working).ToBeFocusedAsync();
        await sheet.Paste.FillAsync("3 cores: soon");
        await sheet.Blank(BlankLabels.Memory).FillAsync("abc");
        await sheet.ExpectStateAsync("Stale");

        await ExpectNoViolationAsync(sheet.Page);
    }

    private static async Task ExpectNoViolationAsync(IPage page)
    {
        AxeResult result = await page.RunAxe(s_options);
        Assert.NotEmpty(result.Passes);
        string[] found = [.. result.Violations.Select(violation =>
            $"{violation.Id}: {violation.Help}\n" + string.Join("\n", violation.Nodes.Select(node => $"    {node.Target}: {node.Html}")))];
        Assert.True(found.Length == 0, string.Join('\n', found));
    }
}
