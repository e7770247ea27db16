using Capacityplan.Core.Planning;

namespace Capacityplan.Core.Tests.Planning;

public sealed class PlannerTests
{
    [Fact]
    public void Evaluate_OfTheDemo_ChoosesTheCheapestThatHolds()
    {
        PlanResult result = Planner.Evaluate(TidemarkJob.Plan, TidemarkJob.Catalogue, new PlannerSettings());

        Assert.Equal(VerdictState.Holds, result.Verdict.State);
        Assert.Equal("Heron-16", result.Verdict.Choice!.Machine.Name);
    }
}
