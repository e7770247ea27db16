using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;
using Capacityplan.Storage;
using Capacityplan.Web.Plans;

namespace Capacityplan.Web.Tests.Plans;

/// <summary>How a plan's answer takes simulated runs of its phases.</summary>
public sealed class SimulatedAnswerTests
{
    private static readonly PlanDraft s_draft = new()
    {
        DoneBy = "60 min",
        Phases =
        [
            new PhaseDraft { Name = "read", IsParallel = false, Seconds = "2 min" },
            new PhaseDraft { Name = "grid", Units = "200", Sizes = UnitDistribution.Exponential, Mean = "60 s", Grain = "4" },
        ],
    };

    [Fact]
    public async Task TakeSimulated_OfTheJob_IsWhatTheAnswerRestsOn()
    {
        await using PlanSession session = await SettledAsync();
        double[] before = Medians(session);
        Plan plan = session.Result!.Plan;
        IReadOnlyList<SimulatedPool> runs = StructureSimulation.Run(plan.Structure!, 1, 1);

        session.TakeSimulated(plan.Structure!, runs);
        await session.WhenSettledAsync();

        Assert.Equal(AnswerStage.Done, session.Stage);
        PlanResult expected = Planner.Evaluate(plan, session.Catalogue, new PlannerSettings { AdviseForChoice = true }, Planner.Scale(plan, simulated: runs));
        Assert.Equal(expected.Forecast.Points.Select(point => point.Seconds.Median), Medians(session));
        Assert.NotEqual(before, Medians(session));
    }

    [Fact]
    public async Task TakeSimulated_OfOtherPhases_LeavesTheAnswerAsItWas()
    {
        await using PlanSession session = await SettledAsync();
        double[] before = Medians(session);
        var other = new JobStructure([new SerialPhase("read", 120), new ParallelPhase("grid", 200, new ExponentialSizes(60), 8)]);

        session.TakeSimulated(other, StructureSimulation.Run(other, 1, 1));
        await session.WhenSettledAsync();

        Assert.Equal(before, Medians(session));
    }

    [Fact]
    public async Task Simulated_OnceTaken_StandsUntilThePhasesChange()
    {
        await using PlanSession session = await SettledAsync();
        double[] closed = Medians(session);
        JobStructure structure = session.Result!.Plan.Structure!;
        session.TakeSimulated(structure, StructureSimulation.Run(structure, 1, 1));
        await session.WhenSettledAsync();
        double[] simulated = Medians(session);

        session.Change(session.Draft with { DoneBy = "50 min", WhatIfInput = "1.2" });
        await session.WhenSettledAsync();
        Assert.Equal(3000, session.Result!.Plan.Window!.Seconds);
        Assert.Equal(simulated, Medians(session));
        Assert.Equal(1.2, session.WhatIf!.Forecast.WorkSeconds / session.Result.Forecast.WorkSeconds, 1e-9);

        session.Change(session.Draft with { Phases = session.Draft.Phases.SetItem(1, session.Draft.Phases[1] with { Grain = "8" }) });
        await session.WhenSettledAsync();
        Assert.NotEqual(simulated, Medians(session));
        Assert.NotEqual(closed, Medians(session));

        session.Change(session.Draft with { Phases = s_draft.Phases });
        await session.WhenSettledAsync();
        Assert.Equal(simulated, Medians(session));
    }

    private static double[] Medians(PlanSession session) => [.. session.Result!.Forecast.Points.Select(point => point.Seconds.Median)];

    private static async Task<PlanSession> SettledAsync()
    {
        var session = new PlanSession(s_draft, DemoData.Load().Catalogue, TimeProvider.System);
        session.Start();
        await session.WhenSettledAsync();
        return session;
    }
}
