using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Core.Tests.Planning;

public sealed class MeasurementOutlookTests
{
    private static readonly Catalogue s_two = TidemarkJob.Catalogue with
    {
        Machines = [TidemarkJob.Machine("small", 16, 16, 1, 64, 0, 1), TidemarkJob.Machine("large", 32, 32, 1, 64, 0, 3)],
    };

    [Fact]
    public void Outlook_OfAChoiceFarFromTheWindow_SaysThatMeasuringMoreIsIdle()
    {
        // 22 s on 16 cores, measured to 16: either machine holds ten minutes however the next runs turn out.
        PlanResult result = Evaluate([1, 2, 4, 8, 16], windowSeconds: 600);

        Assert.Equal("small", result.Verdict.Choice!.Machine.Name);
        Assert.True(result.Outlook!.IsEnough);
        Assert.Equal(1, result.Outlook.StaysAfterTwo);
        Assert.StartsWith("Measuring more would hardly change the choice", result.Outlook.Sentence("small"), StringComparison.Ordinal);
    }

    [Fact]
    public void Outlook_OfAChoiceThatHangsOnFewTimings_SaysThatItMayChange()
    {
        // About 22 s on 16 cores, seen from 1 and 2: a window that the small machine just holds, or just misses.
        PlanResult result = Evaluate([1, 2], windowSeconds: 45);

        Assert.NotNull(result.Outlook);
        Assert.False(result.Outlook.IsEnough);
        Assert.True(result.Outlook.StaysAfterTwo < 0.95);
        Assert.Contains("may change the choice", result.Outlook.Sentence(null), StringComparison.Ordinal);
    }

    [Fact]
    public void Outlook_OfNoMachineThatCanHold_IsThatNoneWill()
    {
        PlanResult result = Evaluate([1, 2, 4, 8, 16], windowSeconds: 1);

        Assert.Equal(VerdictState.Misses, result.Verdict.State);
        Assert.Null(result.Outlook);
    }

    [Fact]
    public void Outlook_WithoutTimings_IsNotThere()
    {
        Plan plan = new([], new(200, 10, 1_000, new())) { Window = new BatchWindow(600) };

        Assert.Null(Planner.Evaluate(plan, s_two, new PlannerSettings()).Outlook);
    }

    private static PlanResult Evaluate(int[] cores, double windowSeconds)
    {
        ImmutableArray<Timing> timings = [.. cores.Select(p => new Timing(p, 190.0 / p + 10))];
        return Planner.Evaluate(new Plan(timings) { Window = new BatchWindow(windowSeconds) }, s_two, new PlannerSettings());
    }
}
