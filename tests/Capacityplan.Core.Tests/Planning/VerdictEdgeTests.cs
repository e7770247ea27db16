using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
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
        // Whichever machine it names: no other holds a shorter one.
        double shortest = TidemarkJob.Catalogue.Machines.Min(machine => NeededBy(machine.Name));
        Assert.Contains(Figures.Time(shortest), result.Verdict.Then, StringComparison.Ordinal);

        double NeededBy(string name) => NeededWindow(TidemarkJob.Plan, name, 0.9999999999999999);
    }

    [Fact]
    public void Evaluate_WhereAnotherThanTheClosestHoldsAShorterWindow_NamesThatOne()
    {
        Plan plan = TidemarkJob.Plan with { Window = new BatchWindow(300, 0.995) };
        PlanResult result = Planner.Evaluate(plan, TidemarkJob.Catalogue, new PlannerSettings());

        Assert.Equal(VerdictState.Misses, result.Verdict.State);
        string shortest = TidemarkJob.Catalogue.Machines.MinBy(machine => NeededWindow(plan, machine.Name, 0.995))!.Name;
        string expected = shortest == result.Verdict.Choice!.Machine.Name ? "It would hold a window of " : $"{shortest} would hold the shortest window, ";
        Assert.StartsWith(expected + Figures.Time(NeededWindow(plan, shortest, 0.995)), result.Verdict.Then, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(Limit.Contention, 19.4, 37.0, "Past 19 cores workers in each other's way hold it back.")]
    [InlineData(Limit.Overhead, 50.0, 37.0, "Past 37 cores the serial parts and the span hold it back.")]
    [InlineData(Limit.Span, 19.0, 37.0, "Past 37 cores the serial parts and the span hold it back.")]
    [InlineData(Limit.Span, 1.0, 0.02, "The serial parts and the span hold it back from the second core on.")]
    public void Verdict_OfWhatHoldsItBack_NamesWhatIsMetFirst(Limit grows, double from, double span, string expected)
    {
        PlanResult demo = Planner.Evaluate(TidemarkJob.Plan, TidemarkJob.Catalogue, new PlannerSettings());
        Forecast forecast = demo.Forecast with
        {
            SpanBindsFromCores = span,
            Limits = from > 1 ? [new LimitRange(Limit.Work, 1, from), new LimitRange(grows, from, null)] : [new LimitRange(grows, 1, null)],
        };

        Assert.Equal(expected, VerdictWriter.HeldBackFrom(forecast));
    }

    /// <summary>The window in which a machine reaches a target, by halving: seconds.</summary>
    private static double NeededWindow(Plan plan, string machine, double target)
    {
        Catalogue one = TidemarkJob.Catalogue with { Machines = [TidemarkJob.Catalogue.Machines.Single(other => other.Name == machine)] };
        ScalingForecast scaling = Planner.Scale(plan);
        double low = 1, high = 1e7;
        for (int step = 0; step < 40; step++)
        {
            double middle = Math.Sqrt(low * high);
            PlanResult result = Planner.Evaluate(plan with { Window = new BatchWindow(middle, target) }, one, new PlannerSettings { SimulateNextRuns = false, Cores = [] }, scaling);
            (low, high) = result.Machines[0].MeetsTarget ? (low, middle) : (middle, high);
        }

        return high;
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
