using AngleSharp.Dom;
using Bunit;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.Structure;
using Capacityplan.Web.Plans;

namespace Capacityplan.Web.Tests.Phases;

public sealed class PhasesFormTests : StructureTest
{
    [Fact]
    public async Task Form_WithoutPhases_OffersToDescribeThem()
    {
        await using PlanSession session = await SessionAsync();
        IRenderedComponent<PhasesForm> form = Form(session);

        Assert.Equal("Phases, where known", form.Find("h3").TextContent);
        Button(form, "Describe the phases").Click();

        Assert.Equal([false, true], session.Draft.Phases.Select(phase => phase.IsParallel));
        Assert.Equal("Structure: 2 phases in order", form.Find("h3").TextContent);
        await SettleAsync(session, form);
        Assert.StartsWith("Phase 1: how long does it take?", Words(Assert.Single(form.FindAll("li")[0].QuerySelectorAll("[role=alert]"))), StringComparison.Ordinal);
        Assert.Contains(form.FindAll("li")[1].QuerySelectorAll("[role=alert]").Select(Words), words => words.StartsWith("Phase 2: how many units?", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Form_OfPhases_ShowsTheirWorkSpanAndSum()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel);
        IRenderedComponent<PhasesForm> form = Form(session);

        Assert.Equal("2.0\u00A0min", Labelled(form, "work of read").TextContent);
        Assert.Equal("2.0\u00A0min", Labelled(form, "span of read").TextContent);
        Assert.Equal("58\u00A0s", Labelled(form, "work of grid").TextContent);
        Assert.Equal("290\u00A0ms", Labelled(form, "span of grid").TextContent);
        Assert.Equal("3.0\u00A0min", Labelled(form, "work together").TextContent);
        Assert.Equal("2.0\u00A0min", Labelled(form, "span together").TextContent);
        Assert.Contains("Longest piece 290\u00A0ms on average. Costs of the pool: fork 50 ns, join 50 ns, steal 1 us", form.Find("summary").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Phases_AddedMovedAndRemoved_AreSoInTheDraft()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel);
        IRenderedComponent<PhasesForm> form = Form(session);

        Button(form, "Add a serial phase").Click();
        Labelled(form, "phase 3: name").Input("write");
        form.Render();
        Assert.Equal(["read", "grid", "write"], Names(session));
        Assert.True(Labelled(form, "Move read up").HasAttribute("disabled"));
        Assert.True(Labelled(form, "Move write down").HasAttribute("disabled"));

        Labelled(form, "Move write up").Click();
        Assert.Equal(["read", "write", "grid"], Names(session));
        Labelled(form, "Move read down").Click();
        Assert.Equal(["write", "read", "grid"], Names(session));
        Assert.Equal(["write", "read", "grid"], Shown(form));

        Labelled(form, "Remove read").Click();
        Assert.Equal(["write", "grid"], Names(session));
        Assert.Equal(["write", "grid"], Shown(form));
        Assert.StartsWith("Removed read.", Words(form.Find("p[role=status]")), StringComparison.Ordinal);

        Button(form, "Add a parallel phase").Click();
        Assert.True(session.Draft.Phases[^1].IsParallel);
        Button(form, "Put it back").Click();
        Assert.Equal(["write", "read", "grid", ""], Names(session));
        Assert.Equal(Serial, session.Draft.Phases[1]);
        Assert.Empty(form.FindAll("p[role=status]"));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public async Task Phases_AllRemoved_CanBePutBack(int count)
    {
        await using PlanSession session = await SessionAsync([.. new[] { Serial, Parallel }.Take(count)]);
        IRenderedComponent<PhasesForm> form = Form(session);

        for (int left = count; left > 0; left--)
            form.FindAll("[aria-label^=Remove]")[left - 1].Click();
        Assert.Empty(session.Draft.Phases);
        Assert.Equal("Phases, where known", form.Find("h3").TextContent);

        Button(form, "Put it back").Click();
        Assert.Equal([Serial], session.Draft.Phases);
        Assert.Equal(["read"], Shown(form));
    }

    [Fact]
    public async Task Phases_PutBack_LeaveTheOthersTheirOwnParts()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel, Parallel with { Name = "contour" }, Serial with { Name = "write" });
        IRenderedComponent<PhasesForm> form = Form(session);
        PhaseItem read = Item(form, 0), grid = Item(form, 1), contour = Item(form, 2), write = Item(form, 3);

        Labelled(form, "Remove grid").Click();
        Assert.Equal([read, contour, write], Items(form));
        Labelled(form, "Move contour down").Click();
        Assert.Equal([read, write, contour], Items(form));
        Button(form, "Put it back").Click();

        PhaseItem[] items = Items(form);
        Assert.Equal([read, write, contour], items.Where((_, place) => place != 1));
        Assert.NotSame(grid, items[1]);
        Assert.Equal(["read", "grid", "write", "contour"], Names(session));
        Assert.Equal([0, 1, 2, 3], items.Select(item => item.Index));
    }

    [Fact]
    public async Task Phases_PutBackFarBehind_StandAtTheEnd()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel, Parallel with { Name = "contour" });
        IRenderedComponent<PhasesForm> form = Form(session);

        Labelled(form, "Remove contour").Click();
        // Changed elsewhere meanwhile, as by another way to describe the job.
        session.Change(session.Draft with { Phases = [Serial] });
        form.Render();
        Button(form, "Put it back").Click();

        Assert.Equal(["read", "contour"], Names(session));
        Assert.Equal(["read", "contour"], Shown(form));
    }

    [Fact]
    public async Task Phases_TooMany_AreSaidToBe()
    {
        await using PlanSession session = await SessionAsync([.. Enumerable.Repeat(Serial, PhaseLimits.MostPhases)]);
        IRenderedComponent<PhasesForm> form = Form(session);
        Assert.Empty(form.FindAll("[role=alert]"));

        Button(form, "Add a serial phase").Click();
        await SettleAsync(session, form);

        Assert.Equal("There are 201 phases; 200 are the most. Put some together.", form.Find("[role=alert]").TextContent);
        Assert.Equal(201, form.FindAll("li").Count);
    }

    [Fact]
    public async Task Kind_Switched_KeepsWhatWasTyped()
    {
        await using PlanSession session = await SessionAsync(Parallel);
        IRenderedComponent<PhasesForm> form = Form(session);

        Labelled(form, "grid: how it runs").Change("serial");
        Assert.Equal(Parallel with { IsParallel = false }, session.Draft.Phases[0]);
        Assert.Empty(form.FindAll("details"));
        Labelled(form, "grid: length").Input("3 s");
        Labelled(form, "grid: how it runs").Change("parallel");

        Assert.Equal(Parallel with { Seconds = "3 s" }, session.Draft.Phases[0]);
        form.Render();
        Assert.Equal("290 ms", Labelled(form, "grid: what each unit takes").GetAttribute("value"));
    }

    [Fact]
    public async Task Distribution_Switched_ShowsItsOwnBlanksAndKeepsTheOthers()
    {
        await using PlanSession session = await SessionAsync(Parallel);
        IRenderedComponent<PhasesForm> form = Form(session);
        (UnitDistribution Sizes, string[] Blanks)[] expected =
        [
            (UnitDistribution.Uniform, ["shortest unit", "longest unit"]),
            (UnitDistribution.Exponential, ["mean of the units"]),
            (UnitDistribution.Gamma, ["mean of the units", "standard deviation of the units"]),
            (UnitDistribution.Lognormal, ["median of the units", "what 95 of 100 units take less than"]),
            (UnitDistribution.BoundedPareto, ["shortest unit", "longest unit", "tail exponent"]),
            (UnitDistribution.Sample, ["measured times of units"]),
            (UnitDistribution.Constant, ["what each unit takes"]),
        ];

        foreach ((UnitDistribution sizes, string[] blanks) in expected)
        {
            Labelled(form, "grid: how the times of its units are spread").Change(sizes.ToString());
            form.Render();
            Assert.Equal(sizes, session.Draft.Phases[0].Sizes);
            string[] shown = [.. Labels(form, "grid: ").Select(label => label["grid: ".Length..])];
            Assert.Equal(blanks, shown.Where(label => expected.Any(one => one.Blanks.Contains(label))));
        }

        Assert.Equal(Parallel, session.Draft.Phases[0]);
    }

    [Fact]
    public async Task Blanks_EachWriteTheirOwnText()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel);
        IRenderedComponent<PhasesForm> form = Form(session);
        string[] labels = [.. form.FindAll("li")[1].QuerySelectorAll("input").Select(blank => blank.GetAttribute("aria-label")!)];
        // Name, units, time, split and nine costs.
        Assert.Equal(13, labels.Distinct().Count());

        for (int number = labels.Length - 1; number >= 0; number--)
            Labelled(form, labels[number]).Input($"typed {number}");

        PhaseDraft phase = session.Draft.Phases[1];
        string[] typed =
        [
            phase.Name, phase.Units, phase.EachTakes, phase.Grain, phase.Fork, phase.Join, phase.CombinePerUnit, phase.StealAttempt, phase.Steal, phase.Wake,
            phase.RefillPerUnit, phase.RefillUnits, phase.BytesPerUnit,
        ];
        Assert.Equal(Enumerable.Range(0, 13).Select(number => $"typed {number}"), typed);
        Assert.Equal(Serial, session.Draft.Phases[0]);
    }

    [Fact]
    public async Task Costs_HaveLabelsThatLeadToTheirBlanks()
    {
        await using PlanSession session = await SessionAsync(Parallel, Parallel with { Name = "contour" });
        IRenderedComponent<PhasesForm> form = Form(session);

        string[] targets = [.. form.FindAll("label[for]").Select(label => label.GetAttribute("for")!)];

        Assert.Equal(18, targets.Distinct().Count());
        Assert.All(targets, target => Assert.Equal("INPUT", Assert.Single(form.FindAll($"[id='{target}']")).TagName));
    }

    [Fact]
    public async Task Problems_StandAtTheirPhaseAndBlank()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel, Parallel with { Name = "contour" });
        IRenderedComponent<PhasesForm> form = Form(session);

        Labelled(form, "grid: number of units").Input("many");
        await SettleAsync(session, form);

        Assert.Equal([0, 1, 0], form.FindAll("li").Select(phase => phase.QuerySelectorAll("[role=alert]").Length));
        IElement blank = Labelled(form, "grid: number of units");
        Assert.Equal("true", blank.GetAttribute("aria-invalid"));
        Assert.Equal(form.Find("[role=alert]").TextContent, blank.GetAttribute("title"));
        Assert.Null(Labelled(form, "contour: number of units").GetAttribute("aria-invalid"));
        Assert.Equal(Figures.Unknown, Labelled(form, "work of read").TextContent);
        Assert.Empty(form.FindAll(".together"));
    }

    [Fact]
    public async Task Blank_OfAPhaseThatHasJustGone_ChangesNothing()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel);
        PlanDraft draft = session.Draft;

        PhaseBlank.Change(session, 2, phase => phase with { Name = "late" });
        Assert.Equal(draft, session.Draft);
        Assert.Equal("phase 3", PhaseBlank.CalledIn(draft, 2));
        PhaseBlank.Change(session, 1, phase => phase with { Name = " " });
        Assert.Equal("phase 2", PhaseBlank.CalledIn(session.Draft, 1));
    }

    private static string[] Names(PlanSession session) => [.. session.Draft.Phases.Select(phase => phase.Name)];

    private static string[] Shown(IRenderedComponent<PhasesForm> form) => [.. form.FindAll("li").Select(phase => phase.QuerySelector("input")!.GetAttribute("value")!)];

    private static PhaseItem[] Items(IRenderedComponent<PhasesForm> form) =>
        [.. form.FindComponents<PhaseItem>().Select(item => item.Instance).OrderBy(item => item.Index)];

    private static PhaseItem Item(IRenderedComponent<PhasesForm> form, int place) => Items(form)[place];

    private IRenderedComponent<PhasesForm> Form(PlanSession session) => Render<PhasesForm>(parameters => parameters.AddCascadingValue(session));
}
