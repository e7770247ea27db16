using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using CsCheck;
using static Capacityplan.Core.Tests.Planning.WaysToPay;

namespace Capacityplan.Core.Tests.Planning;

public sealed class BreakEvenTests
{
    private static readonly ScalingForecast s_scaling = Planner.Scale(TidemarkJob.Plan);

    private static readonly PlanResult s_result = Planner.Evaluate(
        TidemarkJob.Plan, CatalogueOf(Offered("Heron-16", Metered(1.50m), Term(40), Owned(7_200)), Offered("Heron-32", Metered(3.01m))),
        new PlannerSettings { SimulateNextRuns = false }, s_scaling);

    [Fact]
    public void Of_MeteredAndTerm_IsWorkedByHand()
    {
        // 0.75 a run by the hour against 60 a month: 80 runs. Below it the hour is cheaper.
        BreakEven pair = BreakEven.Of(Priced(0, 0.75m), Priced(60, 0));

        Assert.Equal(80m, pair.RunsPerMonth);
        Assert.Equal(0, pair.CheaperBelow!.FixedCostPerMonth);
        Assert.Equal(60, pair.CheaperAbove!.FixedCostPerMonth);
    }

    [Fact]
    public void Of_OneThatIsAlwaysDearer_NeverCrosses()
    {
        BreakEven pair = BreakEven.Of(Priced(60, 0.75m), Priced(50, 0.75m));

        Assert.Null(pair.RunsPerMonth);
        Assert.Equal(50, pair.CheaperBelow!.FixedCostPerMonth);
        Assert.Equal(pair.CheaperBelow, pair.CheaperAbove);
        Assert.Null(BreakEven.Of(Priced(60, 0.75m), Priced(50, 0.70m)).RunsPerMonth);
        Assert.Null(BreakEven.Of(Priced(60, 0.75m), Priced(60, 0.75m)).CheaperBelow);
        // Equal at no runs only: the one with the cheaper run is cheaper from the first on.
        Assert.Equal(0.70m, BreakEven.Of(Priced(60, 0.75m), Priced(60, 0.70m)).CheaperBelow!.CostOfOneMoreRun);
    }

    [Fact]
    public void Of_AnyTwo_CostTheSameAtTheBreakEven_AndAreCheaperOnTheirSide() =>
        Gen.Select(Gen.Decimal[0, 5_000], Gen.Decimal[0, 20], Gen.Decimal[0, 5_000], Gen.Decimal[0, 20]).ForAll(
            (one) =>
            {
                MachineOutcome first = Priced(one.Item1, one.Item2), second = Priced(one.Item3, one.Item4);
                BreakEven pair = BreakEven.Of(first, second);
                if (pair.RunsPerMonth is { } runs)
                {
                    Assert.True(runs > 0);
                    decimal at = BreakEven.CostAt(first, runs);
                    Assert.Equal((double)at, (double)BreakEven.CostAt(second, runs), 1e-12 * (double)at + 1e-9);
                    Assert.Equal(pair.CheaperBelow, Cheaper(first, second, runs / 2));
                    Assert.Equal(pair.CheaperAbove, Cheaper(first, second, runs * 2));
                }
                else if (pair.CheaperBelow is { } cheaper)
                {
                    Assert.All((decimal[])[0.5m, 30, 1_000, 500_000], many => Assert.True(BreakEven.CostAt(cheaper, many) <= BreakEven.CostAt(cheaper == first ? second : first, many)));
                }
            });

    [Fact]
    public void Result_HoldsThePairsOfTheChosenMachine_AndItsBestAgainstAnotherKind()
    {
        BreakEvens found = s_result.BreakEvens!;

        Assert.Equal("Heron-16, metered", s_result.Verdict.Choice!.Name);
        Assert.Equal(3, found.Pairs.Length);
        Assert.All(found.Pairs, pair => Assert.Equal("Heron-16", pair.One.Machine.Name));
        BreakEven term = found.Pairs.Single(pair => pair.One.Purchase is MeteredPurchase && pair.Other.Purchase is TermPurchase);
        Assert.Equal(40m / term.One.CostOfOneMoreRun, term.RunsPerMonth!.Value);
        Assert.Equal(
            $"Below {Figures.Count(Math.Round((double)term.RunsPerMonth.Value, 1))} runs a month Heron-16 is cheaper metered, above it on a 12-month term; the plan has 30.4.",
            found.Sentence);
    }

    [Fact]
    public void Result_OfAnotherKindElsewhere_ComparesTheTwoMachines()
    {
        PlanResult result = Planner.Evaluate(
            TidemarkJob.Plan, CatalogueOf(Offered("Heron-16", Metered(1.50m)), Offered("Heron-32", Term(60))), new PlannerSettings(), s_scaling);
        BreakEven pair = Assert.Single(result.BreakEvens!.Pairs);

        Assert.Equal(("Heron-16", "Heron-32"), (pair.One.Machine.Name, pair.Other.Machine.Name));
        Assert.StartsWith("Below ", result.BreakEvens.Sentence, StringComparison.Ordinal);
        Assert.Contains("Heron-16 is cheaper, above it Heron-32", result.BreakEvens.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Result_OfMeteredOnly_HasNoPairs() =>
        Assert.True(Planner.Evaluate(TidemarkJob.Plan, TidemarkJob.Catalogue, new PlannerSettings(), s_scaling).BreakEvens is { Pairs.IsEmpty: true, Sentence: null });

    [Fact]
    public void Of_TwoCurrencies_IsRefused() =>
        Assert.Throws<ArgumentException>(() => BreakEven.Of(Priced(1, 1), Priced(1, 1) with { Currency = "USD" }));

    private static MachineOutcome? Cheaper(MachineOutcome one, MachineOutcome other, decimal runs) =>
        BreakEven.CostAt(one, runs) <= BreakEven.CostAt(other, runs) ? one : other;

    private static MachineOutcome Priced(decimal fixedCost, decimal oneMoreRun) =>
        s_result.Machines[0] with { FixedCostPerMonth = fixedCost, CostOfOneMoreRun = oneMoreRun };
}
