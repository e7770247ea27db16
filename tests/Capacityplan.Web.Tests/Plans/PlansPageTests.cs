using AngleSharp.Dom;
using Bunit;
using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Capacityplan.Web.Components.Pages;
using Microsoft.AspNetCore.Components;

namespace Capacityplan.Web.Tests.Plans;

public sealed class PlansPageTests : PageTest
{
    private static readonly StoredAnswer s_holds = new(VerdictState.Holds, "Heron-16 finishes in 40\u00a0min.");

    [Fact]
    public async Task Page_OfPlans_ShowsTheirAnswersRuledByTheirState()
    {
        await Store.Plans.CreateAsync(new PlanDraft { Name = "Wreck survey" }, new StoredAnswer(VerdictState.Misses, "No machine holds it."));
        Store.Clock.Advance(TimeSpan.FromDays(1));
        StoredPlan tiles = await Store.Plans.CreateAsync(new PlanDraft { Name = "Night tiles", Owner = "Tidemark" }, s_holds);

        IRenderedComponent<IComponent> page = await OpenAsync("plans");

        Assert.Equal(["Night tiles", "Wreck survey"], Names(page));
        Assert.Equal($"plans/{tiles.Id}", page.Find(".name a").GetAttribute("href"));
        Assert.Equal("One holds, one misses.", page.Find("h1").TextContent.Trim());
        Assert.Equal(["Holds", "Misses"], page.FindAll(".stateword").Select(word => word.TextContent));
        Assert.Equal(["ansr", "ansr late"], page.FindAll(".ansr").Select(answer => answer.ClassName?.Trim()));
        Assert.Equal(["today 21:14", "yesterday 21:14"], page.FindAll("time").Select(time => time.TextContent));
        Assert.Equal("Tidemark", page.Find(".owner").TextContent);
    }

    [Fact]
    public async Task Find_WhatIsTyped_IsLookedForAfterASilenceAndKeptInTheAddress()
    {
        await ThreePlansAsync();
        IRenderedComponent<IComponent> page = await OpenAsync("plans");

        await ActAsync(page, () => page.Find("input").Input("sur"));
        await ActAsync(page, () => page.Find("input").Input("survey"));
        Assert.Equal(3, Names(page).Length);
        Store.Clock.Advance(TimeSpan.FromMilliseconds(250));

        page.WaitForAssertion(() => Assert.Equal(["Wreck survey"], Names(page)));
        page.WaitForAssertion(() => Assert.EndsWith("/plans?find=survey", Navigation.Uri, StringComparison.Ordinal));
        Assert.Equal("1 of 3", page.Find(".find [role=status]").TextContent);
        Assert.Equal("survey", page.Find("input").GetAttribute("value"));
    }

    [Fact]
    public async Task Find_FromTheAddress_ShowsTheSame()
    {
        await ThreePlansAsync();

        IRenderedComponent<IComponent> page = await OpenAsync("plans?find=t&show=holds");

        Assert.Equal(["Night tiles"], Names(page));
        Assert.Equal("t", page.Find("input").GetAttribute("value"));
        Assert.Equal("Holds", page.Find(".filter [aria-current] span").TextContent);
    }

    [Fact]
    public async Task Find_NothingFound_SaysSoAndLeadsBack()
    {
        await ThreePlansAsync();
        IRenderedComponent<IComponent> page = await OpenAsync("plans?find=lighthouse");
        Assert.Equal("No plan has “lighthouse” in its name, owner or answer.", page.Find(".nothing").TextContent);

        await ActAsync(page, () => page.Find(".find button").Click());

        page.WaitForAssertion(() => Assert.Equal(3, Names(page).Length));
        Assert.EndsWith("/plans", Navigation.Uri, StringComparison.Ordinal);
    }

    [Fact]
    public async Task NewPlan_IsStoredAndOpened()
    {
        await ThreePlansAsync();
        IRenderedComponent<IComponent> page = await OpenAsync("plans");

        await ActAsync(page, () => page.Find(".answer .btn.main").Click());

        page.WaitForAssertion(() => Assert.Contains("/plans/", Navigation.Uri, StringComparison.Ordinal));
        StoredPlan? created = await Store.Plans.FindAsync(Guid.Parse(Navigation.Uri.Split('/')[^1]));
        Assert.Equal(new PlanDraft { Name = "New plan" }, created?.Draft);
    }

    [Fact]
    public async Task Duplicate_APlan_StandsBesideItAndIsTold()
    {
        await ThreePlansAsync();
        IRenderedComponent<IComponent> page = await OpenAsync("plans");

        await ActAsync(page, () => page.Find("[aria-label='Duplicate Night tiles']").Click());

        page.WaitForAssertion(() => Assert.Equal(4, Names(page).Length));
        Assert.Contains("Night tiles, copy", Names(page));
        StoredPlan copy = Assert.Single(await Store.Plans.ListAsync("Night tiles, copy"));
        Assert.Contains("Made “Night tiles, copy”.", page.Find(".undo").TextContent, StringComparison.Ordinal);
        Assert.Equal($"plans/{copy.Id}", page.Find(".undo a").GetAttribute("href"));
    }

    [Fact]
    public async Task Delete_TwoPlans_CanBothBePutBackTheLastFirst()
    {
        await ThreePlansAsync();
        IRenderedComponent<IComponent> page = await OpenAsync("plans");

        await ActAsync(page, () => page.Find("[aria-label='Delete Night tiles']").Click());
        page.WaitForAssertion(() => Assert.Equal(2, Names(page).Length));
        await ActAsync(page, () => page.Find("[aria-label='Delete Wreck survey']").Click());
        page.WaitForAssertion(() => Assert.Single(Names(page)));
        Assert.Single(await Store.Plans.ListAsync());

        Assert.StartsWith("Deleted “Wreck survey”.", page.Find(".undo").TextContent.Trim(), StringComparison.Ordinal);
        PutBack(page).Click();
        page.WaitForAssertion(() => Assert.Equal(2, Names(page).Length));
        Assert.StartsWith("Deleted “Night tiles”.", page.Find(".undo").TextContent.Trim(), StringComparison.Ordinal);
        PutBack(page).Click();
        page.WaitForAssertion(() => Assert.Equal(3, Names(page).Length));

        Assert.Empty(page.FindAll(".undo"));
        Assert.Equal(3, (await Store.Plans.ListAsync()).Length);
    }

    [Fact]
    public async Task Delete_APlanThatIsGoneAlready_SaysSoAndOffersNoWayBack()
    {
        await ThreePlansAsync();
        IRenderedComponent<IComponent> page = await OpenAsync("plans");
        await Store.Plans.DeleteAsync((await Store.Plans.ListAsync("Night tiles"))[0].Id);

        await ActAsync(page, () => page.Find("[aria-label='Delete Night tiles']").Click());

        page.WaitForAssertion(() => Assert.Equal(2, Names(page).Length));
        Assert.Contains("“Night tiles” was deleted elsewhere already.", page.Find(".undo").TextContent, StringComparison.Ordinal);
        Assert.DoesNotContain("Put it back", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Row_ThatCannotBeRead_SaysWhyAndShowsItsText()
    {
        await Store.Plans.CreateAsync(new PlanDraft { Name = "Harbour lights" });
        await Store.DamageAsync("Plans", "Draft", "{ \"colour\": 1 }");

        IRenderedComponent<IComponent> page = await OpenAsync("plans");

        Assert.Equal("Unreadable", page.Find(".stateword").TextContent);
        Assert.Equal("{ \"colour\": 1 }", page.Find(".stored").TextContent);
        Assert.Empty(page.FindAll(".name a"));
        Assert.Empty(page.FindAll("[aria-label='Duplicate Harbour lights']"));
        Assert.Single(page.FindAll("[aria-label='Delete Harbour lights']"));
    }

    [Fact]
    public async Task EmptyList_StartsAPlanFromWhatIsPasted()
    {
        IRenderedComponent<IComponent> page = await OpenAsync("plans");
        Assert.Equal("Two timings are enough for a first answer.", page.Find("h1").TextContent.Trim());
        Assert.Equal("Start without timings", page.Find(".empty .btn.main").TextContent);

        await ActAsync(page, () => page.Find("textarea").Input("1 6h\n8 50 min"));
        Assert.Equal("Start from this", page.Find(".empty .btn.main").TextContent);
        await ActAsync(page, () => page.Find(".empty .btn.main").Click());

        page.WaitForAssertion(() => Assert.Contains("/plans/", Navigation.Uri, StringComparison.Ordinal));
        Assert.Equal("1 6h\n8 50 min", Assert.Single(await Store.Plans.ListAsync()).Draft?.TimingsText);
    }

    [Fact]
    public async Task EmptyList_OpensTheExampleWithItsMachines()
    {
        IRenderedComponent<IComponent> page = await OpenAsync("plans");

        await ActAsync(page, () => page.FindAll(".empty .btn").Single(button => button.TextContent == "Open the Tidemark example").Click());

        page.WaitForAssertion(() => Assert.Contains("/plans/", Navigation.Uri, StringComparison.Ordinal));
        Assert.Equal("Night tiles", Assert.Single(await Store.Plans.ListAsync()).Name);
        Assert.Equal("Tidemark", (await Store.Catalogues.GetDefaultAsync())?.Name);
    }

    /// <summary>Finds and presses or types in one go: a page drawn anew in between, as when its list comes in, would not know the element any more.</summary>
    private static Task ActAsync(IRenderedComponent<IComponent> page, Action act) => page.InvokeAsync(act);

    private async Task ThreePlansAsync()
    {
        await Store.Plans.CreateAsync(new PlanDraft { Name = "Night tiles" }, s_holds);
        await Store.Plans.CreateAsync(new PlanDraft { Name = "Wreck survey" }, new StoredAnswer(VerdictState.Misses, "No machine holds it."));
        await Store.Plans.CreateAsync(new PlanDraft { Name = "Backfill" });
    }

    private async Task<IRenderedComponent<IComponent>> OpenAsync(string address)
    {
        IRenderedComponent<IComponent> page = Open<PlansPage>(address);
        await page.WaitForElementAsync("h1");
        return page;
    }

    private static string[] Names(IRenderedComponent<IComponent> page) => [.. page.FindAll(".name").Select(name => name.TextContent.Trim())];

    private static IElement PutBack(IRenderedComponent<IComponent> page) =>
        page.FindAll(".undo button").Single(button => button.TextContent == "Put it back");
}
