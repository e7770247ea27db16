using System.Collections.Immutable;
using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Capacityplan.Web.Components.Plans;

namespace Capacityplan.Web.Tests.Plans;

public sealed class PlanListTests
{
    private static readonly DateOnly s_today = new(2026, 11, 24);
    private static readonly StoredAnswer s_holds = new(VerdictState.Holds, "Heron-16 finishes in 40\u00a0min, for €1.01 a run.");
    private static readonly StoredAnswer s_misses = new(VerdictState.Misses, "No machine holds an 18\u00a0min window.");

    [Fact]
    public void Of_AnswersOfEachKind_StandInTheirState()
    {
        PlanList list = List(
            Plan("a", s_holds),
            Plan("b", s_misses),
            Plan("c", new StoredAnswer(VerdictState.NotYet, "When must it be done?")),
            Plan("d", null),
            Plan("e", null) with { Draft = null, Unreadable = new Unreadable("{", "It ends too soon.") });

        Assert.Equal(
            [ListedState.Holds, ListedState.Misses, ListedState.NotYet, ListedState.NotYet, ListedState.Unreadable],
            list.Plans.Select(plan => plan.State));
        Assert.Equal(s_holds.Sentence, list.Plans[0].Answer);
        Assert.Equal("When must it be done?", list.Plans[2].Answer);
        Assert.Equal("{", list.Plans[4].Unreadable?.Text);
    }

    [Fact]
    public void Of_APlanWithoutAnAnswer_SaysWhatItWaitsFor()
    {
        PlanList list = List(
            Plan("one timing", null) with { Draft = new PlanDraft { TimingsText = "8 12 min" } },
            Plan("ready", null) with { Draft = new PlanDraft { TimingsText = "1 12 min\n8 2 min", StartsAt = "04:00", DoneBy = "05:00" } });

        Assert.Equal("One timing is a point, not a curve.", list.Plans[0].Answer);
        Assert.Equal("Not worked out yet. Open it for its answer.", list.Plans[1].Answer);
    }

    [Fact]
    public void Of_AnAnswerWithOldPrices_IsStaleAndStillSaid()
    {
        StoredCatalogue old = Catalogue(new DateOnly(2025, 9, 2), isDefault: true);
        StoredCatalogue fresh = Catalogue(new DateOnly(2026, 11, 3), isDefault: false);
        PlanList list = PlanList.Of(
            [Plan("by default", s_holds), Plan("by its own", s_holds) with { Draft = new PlanDraft { CatalogueId = fresh.Id } }, Plan("none", null)],
            [old, fresh],
            s_today);

        Assert.Equal([ListedState.Stale, ListedState.Holds, ListedState.NotYet], list.Plans.Select(plan => plan.State));
        Assert.Equal($"Prices are 14 months old. The last answer: {s_holds.Sentence}", list.Plans[0].Answer);
    }

    [Theory]
    [InlineData("", "")]
    [InlineData("H", "The one plan holds.")]
    [InlineData("HH", "Both plans hold.")]
    [InlineData("MMM", "All three plans miss.")]
    [InlineData("HHHMN", "Three hold, one misses, one has no answer yet.")]
    [InlineData("HMMNNU", "One holds, two miss, two have no answer yet, one cannot be read.")]
    [InlineData("U", "The one plan cannot be read.")]
    public void Finding_OfAList_CountsItsStates(string states, string finding) =>
        Assert.Equal(finding, List([.. states.Select(state => Plan("x", state switch { 'H' => s_holds, 'M' => s_misses, _ => null }) is var plan && state == 'U'
            ? plan with { Draft = null, Unreadable = new Unreadable("", "") }
            : plan)]).Finding);

    [Theory]
    [InlineData(null, null, "Night tiles,Wreck survey,Backfill")]
    [InlineData("  ", null, "Night tiles,Wreck survey,Backfill")]
    [InlineData("NIGHT", null, "Night tiles")]
    [InlineData("heron", null, "Night tiles,Backfill")]
    [InlineData("heron tidemark", null, "Night tiles")]
    [InlineData("40 min", null, "Night tiles,Backfill")]
    [InlineData("misses", null, "Wreck survey")]
    [InlineData("nothing of the kind", null, "")]
    [InlineData(null, ListedState.Holds, "Night tiles,Backfill")]
    [InlineData("back", ListedState.Misses, "")]
    public void Find_Words_AllHaveToBeInNameOwnerAnswerOrState(string? find, ListedState? state, string found)
    {
        PlanList list = List(Plan("Night tiles", s_holds) with { Owner = "Tidemark" }, Plan("Wreck survey", s_misses), Plan("Backfill", s_holds));

        Assert.Equal(found, string.Join(',', list.Find(find, state).Select(plan => plan.Name)));
    }

    [Fact]
    public void Of_APlanWithoutAName_GivesItWordsToPointAt() => Assert.Equal("A plan without a name", List(Plan(" ", s_holds)).Plans[0].Name);

    private static PlanList List(params ImmutableArray<StoredPlan> plans) => PlanList.Of(plans, [], s_today);

    private static StoredPlan Plan(string name, StoredAnswer? answer) => new()
    {
        Id = Guid.NewGuid(),
        Name = name,
        Owner = "",
        Draft = new PlanDraft { Name = name },
        Unreadable = null,
        Version = 1,
        UpdatedAt = default,
        LastAnswer = answer,
    };

    private static StoredCatalogue Catalogue(DateOnly pricesOf, bool isDefault) => new()
    {
        Id = Guid.NewGuid(),
        Name = "Birds",
        Catalogue = TemporaryStore.Birds(pricesOf),
        Draft = null,
        Unreadable = null,
        Version = 1,
        UpdatedAt = default,
        IsDefault = isDefault,
    };
}
