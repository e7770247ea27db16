using Capacityplan.Core.Planning;

namespace Capacityplan.Core.Tests.Planning;

/// <summary>Verdicts at targets and catalogues that are unusual but allowed.</summary>
public sealed class VerdictEdgeTests
{
    [Fact]
    public void Evaluate_WithATargetBelowOneHalf_SaysHowLateTheChoiceIs()
    {
        PlanResult result = Planner.Evaluate(
            TidemarkJob.Plan with { Window = new BatchWindow(3600, 0.005) }, TidemarkJob.Catalogue, new PlannerSettings());

        Assert.Equal(VerdictState.Holds, result.Verdict.State);
        Assert.True(result.Verdict.Choice!.StartToFinishSeconds.Median > 3600);
        Assert.Contains("late on an ordinary night", result.Verdict.StateNote, StringComparison.Ordinal);
    }

    [Fact]
    public void Evaluate_WithATargetNextToCertain_SaysWhichWindowWouldHold()
    {
        PlanResult result = Planner.Evaluate(
            TidemarkJob.Plan with { Window = new BatchWindow(3600, 0.9999999999999999) }, TidemarkJob.Catalogue, new PlannerSettings());

        Assert.Equal(VerdictState.Misses, result.Verdict.State);
        Assert.StartsWith("It would hold a window of ", result.Verdict.Then, StringComparison.Ordinal);
    }

    [Fact]
    public void Evaluate_WithTheOneThatHoldsInAnotherCurrency_SpeaksOfThoseCompared()
    {
        PlanResult result = Planner.Evaluate(
            TidemarkJob.Plan with { MemoryGiB = 0 },
            TidemarkJob.Catalogue with
            {
                Machines =
                [
                    TidemarkJob.Machine("slow", 2, 2, 1, 64, 0, 1), TidemarkJob.Machine("slower", 1, 1, 1, 64, 0, 1),
                    TidemarkJob.Machine("fast", 192, 96, 1.2, 64, 0, 10, "USD"),
                ],
            },
            new PlannerSettings());

        Assert.Equal(VerdictState.Misses, result.Verdict.State);
        Assert.Equal("slow", result.Verdict.Choice!.Machine.Name);
        Assert.StartsWith("No machine priced in EUR holds ", result.Verdict.Sentence, StringComparison.Ordinal);
    }
}
