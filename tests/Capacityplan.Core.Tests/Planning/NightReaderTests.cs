using System.Collections.Immutable;
using Capacityplan.Core.Planning;

namespace Capacityplan.Core.Tests.Planning;

public sealed class NightReaderTests
{
    private static readonly Guid s_own = Guid.NewGuid();
    private static readonly Guid s_lights = Guid.NewGuid();
    private static readonly Guid s_tides = Guid.NewGuid();

    private static readonly PlanDraft s_described = new() { TimingsText = "cores,seconds\n1,400\n4,120\n" };

    [Fact]
    public void Night_OfSavedPlans_IsReadWithItsOrder()
    {
        PlanDraftReading reading = Read(
            Draft(new() { Plan = s_lights.ToString(), After = "own" }, new() { Plan = s_tides.ToString().ToUpperInvariant() }) with { NightAfter = s_tides.ToString(), NightSharesCores = false },
            (s_lights, NightPlan.Of(s_described with { Name = "Harbour lights", Memory = "8 GiB" })), (s_tides, NightPlan.Of(s_described with { Name = "Tide tables" })));

        SharedNight night = reading.Plan!.SharedNight!;
        Assert.Equal(["Harbour lights", "Tide tables"], night.Others.Select(job => job.Plan.Name));
        Assert.Equal(8, night.Others[0].Plan.MemoryGiB);
        Assert.Equal([[2], [0], []], night.After.Select(after => after.ToArray()));
        Assert.False(night.MayShareCores);
        Assert.Empty(reading.Blanks);
    }

    [Fact]
    public void Plans_NotLookedUpYet_AreWaitedFor()
    {
        PlanDraftReading reading = Read(Draft(new NightJobDraft { Plan = s_lights.ToString() }));

        Assert.Equal(PlanQuestion.NightPlans, reading.Question);
        Assert.Null(reading.Plan);
        Assert.Empty(reading.Blanks);
    }

    [Fact]
    public void Window_OfAnotherPlan_IsNotLookedAt()
    {
        // Alone it would have to say whether 04:00 is the next day.
        NightPlan lights = NightPlan.Of(s_described with { StartsAt = "05:00", DoneBy = "04:00", HeavyOneIn = "nonsense" });

        Assert.NotNull(Read(Draft(new NightJobDraft { Plan = s_lights.ToString() }), (s_lights, lights)).Plan?.SharedNight);
    }

    [Fact]
    public void Problems_StandAtTheJobTheyAreAbout()
    {
        AssertProblem("\"Harbour lights\" is deleted", "NightJobs[0].Plan", Draft(Lights), (s_lights, NightPlan.Gone));
        AssertProblem("cannot be read", "NightJobs[0].Plan", Draft(Lights), (s_lights, NightPlan.Unreadable("Harbour lights")));
        AssertProblem("no answer of its own yet: How long does it take, on how many cores?", "NightJobs[0].Plan", Draft(Lights), (s_lights, NightPlan.Of(new PlanDraft())));
        AssertProblem("in a file that cannot be read", "NightJobs[0].Plan", Draft(Lights), (s_lights, NightPlan.Of(new PlanDraft { GraphFile = "k" })));
        AssertProblem("first job of its own night already", "NightJobs[0].Plan", Draft(new NightJobDraft { Plan = s_own.ToString() }));
        AssertProblem("refers to no plan", "NightJobs[0].Plan", Draft(new NightJobDraft { Plan = "nonsense" }));
        AssertProblem("twice", "NightJobs[1].Plan", Draft(Lights, Lights), Good);
        AssertProblem("not in this night", "NightJobs[0].After", Draft(Lights with { After = s_tides.ToString() }), Good);
        AssertProblem("cannot start after itself", "NightJobs[0].After", Draft(Lights with { After = s_lights.ToString() }), Good);
        AssertProblem("wait for each other", "NightJobs[0].After", Draft(Lights with { After = "own" }) with { NightAfter = s_lights.ToString() }, Good);
        AssertProblem("at most 12 jobs", "NightJobs", Draft([.. Enumerable.Range(0, 12).Select(_ => new NightJobDraft { Plan = Guid.NewGuid().ToString() })]));
    }

    [Fact]
    public void Night_OfAnotherPlan_IsNotFollowedAndSaysSo()
    {
        NightPlan nested = NightPlan.Of(s_described with { Name = "Harbour lights", NightJobs = [new NightJobDraft { Plan = s_tides.ToString() }] });

        PlanDraftReading reading = Read(Draft(Lights), (s_lights, nested));

        Assert.Null(reading.Plan!.SharedNight!.Others[0].Plan.SharedNight);
        Assert.Contains("not followed", Assert.Single(reading.Notes).Message, StringComparison.Ordinal);
    }

    private static NightJobDraft Lights => new() { Plan = s_lights.ToString(), Name = "Harbour lights" };

    private static (Guid, NightPlan) Good => (s_lights, NightPlan.Of(s_described with { Name = "Harbour lights" }));

    private static PlanDraft Draft(params NightJobDraft[] jobs) => s_described with { Name = "Night tiles", NightJobs = [.. jobs] };

    private static PlanDraftReading Read(PlanDraft draft, params (Guid Key, NightPlan Plan)[] plans) =>
        PlanDraftReader.Read(draft, nightPlans: new NightPlans(s_own, plans.ToImmutableDictionary(plan => plan.Key, plan => plan.Plan)));

    private static void AssertProblem(string words, string path, PlanDraft draft, params (Guid, NightPlan)[] plans)
    {
        PlanDraftReading reading = Read(draft, plans);
        Problem problem = Assert.Single(reading.Blanks, problem => problem.Message.Contains(words, StringComparison.Ordinal));
        Assert.Equal(path, problem.Path);
        Assert.Null(reading.Plan);
        Assert.Equal(PlanQuestion.Correction, reading.Question);
    }
}
