using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using CsCheck;
using static Capacityplan.Core.Tests.Planning.WaysToPay;

namespace Capacityplan.Core.Tests.Planning;

public sealed class InterruptibleOffersTests
{
    private static readonly ScalingForecast s_scaling = Planner.Scale(TidemarkJob.Plan);

    [Fact]
    public void Evaluate_OfAWayThatIsInterrupted_HasALongerTimeASmallerChanceAndItsOwnCost()
    {
        MachineType heron = Offered("Heron-16", Metered(1.50m), Interruptible(0.60m, 0.2), Term(400));
        PlanResult result = Evaluate(TidemarkJob.Plan, heron);
        MachineOutcome metered = Of<MeteredPurchase>(result), interrupted = Of<InterruptiblePurchase>(result), term = Of<TermPurchase>(result);

        Assert.Equal(metered.StartToFinishSeconds, term.StartToFinishSeconds);
        Assert.Equal(metered.ChanceInWindow, term.ChanceInWindow);
        Assert.Equal(metered.RunSeconds, interrupted.RunSeconds);
        Assert.True(interrupted.StartToFinishSeconds.Median >= metered.StartToFinishSeconds.Median);
        Assert.True(interrupted.StartToFinishSeconds.High > metered.StartToFinishSeconds.High);
        Assert.InRange(interrupted.ChanceInWindow!.Value, 0.8, metered.ChanceInWindow!.Value - 0.02);
        // The mean time of a run of median length, by the closed form, is what is paid for.
        double held = 45 + new Interruptions(5 * 3600, 60).ExpectedSeconds(interrupted.RunSeconds.Median);
        Assert.Equal(held, interrupted.HeldSeconds, 1e-9);
        Assert.Equal((decimal)Math.Ceiling(held) * 0.60m / 3600m, interrupted.CostOfOneMoreRun);
        Assert.Equal((held - 45) / (5 * 3600), interrupted.ExpectedInterruptionsPerRun!.Value, 1e-12);
        Assert.Null(interrupted.BestCheckpointSeconds);
        Assert.Null(metered.ExpectedInterruptionsPerRun);
        Assert.Equal((400m, 0m), (term.FixedCostPerMonth, term.CostOfOneMoreRun));
        Assert.Equal((0m, metered.CostPerRun), (metered.FixedCostPerMonth, metered.CostOfOneMoreRun));
    }

    [Theory]
    [InlineData(0.05, null)]
    [InlineData(0.5, null)]
    [InlineData(2, null)]
    [InlineData(2, 20.0)]
    [InlineData(6, 20.0)]
    public void Evaluate_GivesTheChanceAndBand_ThatDrawnNightsHave(double perHour, double? checkpoint)
    {
        // Against plain sampling: a curve, a kind of night, the noise, and a night's interruptions. 4 standard errors of 60,000
        // nights, and what gathering nights in layers leaves.
        MachineType heron = Offered("Heron-16", Interruptible(0.60m, perHour, 60, checkpoint));
        MachineOutcome outcome = Evaluate(TidemarkJob.Plan, heron).Machines[0];
        double[] curve = new double[s_scaling.DrawCount];
        s_scaling.CurveSeconds(10, curve);
        var random = new RandomSource(77);
        var runs = new InterruptedRuns(Interruptions.Of(heron.Purchase[0])!, 123);
        const int Nights = 60_000;
        var ordinary = new List<double>();
        int held = 0;
        for (int night = 0; night < Nights; night++)
        {
            bool heavy = random.NextUniform() < 1.0 / 14;
            double run = curve[random.NextIndex(curve.Length)] / 1.22 * (heavy ? 1.45 : 1) * Math.Exp(s_scaling.LogNoise(10) * random.NextNormal());
            double seconds = 45 + runs.FinishSeconds(run, runs.Interruptions.MeanSecondsBetween * random.NextExponential(), random);
            if (seconds <= 3600)
                held++;
            if (!heavy)
                ordinary.Add(seconds);
        }

        ordinary.Sort();
        double chance = outcome.ChanceInWindow!.Value;
        Assert.Equal((double)held / Nights, chance, 4 * Math.Sqrt(chance * (1 - chance) / Nights) + 0.012);
        Assert.Equal(1, outcome.StartToFinishSeconds.Median / ordinary[ordinary.Count / 2], 0.03);
        Assert.Equal(1, outcome.StartToFinishSeconds.Low / ordinary[ordinary.Count / 10], 0.03);
        Assert.Equal(1, outcome.StartToFinishSeconds.High / ordinary[ordinary.Count * 9 / 10], 0.08);
    }

    [Fact]
    public void Evaluate_WithCheckpoints_HoldsWhatItDoesNotHoldWithout()
    {
        PlanResult result = Evaluate(
            TidemarkJob.Plan with { Window = new BatchWindow(4 * 3600) },
            Offered("Heron-16", Interruptible(0.60m, 3, 60), Interruptible(0.60m, 3, 60, 10)));
        MachineOutcome with = result.Machines.Single(outcome => outcome.BestCheckpointSeconds is not null);
        MachineOutcome without = result.Machines.Single(outcome => outcome.BestCheckpointSeconds is null);

        Assert.True(with.ChanceInWindow > without.ChanceInWindow + 0.1);
        Assert.Equal(Interruptions.BestInterval(10, 1200), with.BestCheckpointSeconds!.Value, 1e-9);
        Assert.True(with.HeldSeconds < without.HeldSeconds);
        Assert.Equal("Heron-16, interruptible, option 2", result.Verdict.Choice!.Name);
    }

    [Fact]
    public void Evaluate_OfARareInterruption_IsThatOfNone()
    {
        PlanResult result = Evaluate(TidemarkJob.Plan, Offered("Heron-16", Metered(1.50m), Interruptible(1.50m, 1e-9)));
        MachineOutcome metered = Of<MeteredPurchase>(result), rare = Of<InterruptiblePurchase>(result);

        Assert.Equal(metered.StartToFinishSeconds.Median, rare.StartToFinishSeconds.Median, 1e-3);
        Assert.Equal(metered.StartToFinishSeconds.High, rare.StartToFinishSeconds.High, 1e-3);
        Assert.Equal(metered.ChanceInWindow!.Value, rare.ChanceInWindow!.Value, 1e-4);
        Assert.Equal(metered.LargestInputFactor!.Value, rare.LargestInputFactor!.Value, 1e-3);
    }

    [Fact]
    public void Evaluate_OfARunThatHardlyEverFinishes_SaysSo_AndNeverChoosesIt()
    {
        PlanResult result = Evaluate(
            TidemarkJob.Plan, Offered("Heron-16", Metered(1.50m), Interruptible(0, 60)), Offered("Wren-8", Interruptible(0, 3_600, 1e9)));
        MachineOutcome hopeless = result.Machines.Single(outcome => outcome.Name == "Heron-16, interruptible");

        Assert.False(hopeless.Finishes || hopeless.OnFrontier || hopeless.MeetsTarget);
        Assert.StartsWith("Would hardly ever finish: interrupted every 60 s on average, and a run needs ", hopeless.Why!.Replace(Figures.NoBreakSpace, ' '), StringComparison.Ordinal);
        Assert.Equal("Heron-16, metered", result.Verdict.Choice!.Name);
        PlanResult none = Evaluate(TidemarkJob.Plan, Offered("Wren-8", Interruptible(0, 3_600, 1e9)));
        Assert.Equal(VerdictState.Misses, none.Verdict.State);
        Assert.Equal("No machine would finish: each that fits is interrupted too often.", none.Verdict.Sentence);
    }

    [Fact]
    public void Verdict_NamesTheWayToPay_WhereThereAreSeveral()
    {
        PlanResult result = Evaluate(TidemarkJob.Plan, Offered("Heron-16", Metered(1.50m), Interruptible(0.60m, 0.001), Term(400)), Offered("Heron-32", Metered(3.01m)));

        Assert.StartsWith("Heron-16, interruptible, finishes in ", result.Verdict.Sentence, StringComparison.Ordinal);
        Assert.StartsWith("Heron-16, interruptible: ", result.Verdict.Brief, StringComparison.Ordinal);
        Assert.StartsWith("Beaten by Heron-16, ", result.Machines.Single(outcome => outcome.Name == "Heron-16, on a 12-month term").Why, StringComparison.Ordinal);
    }

    [Fact]
    public void Why_OfAWayThatMissesForItsInterruptionsAlone_SaysSo()
    {
        PlanResult result = Evaluate(TidemarkJob.Plan, Offered("Heron-32", Metered(3.01m), Interruptible(1.00m, 1)));

        Assert.StartsWith("Interrupted too often: holds ", Of<InterruptiblePurchase>(result).Why, StringComparison.Ordinal);
    }

    [Fact]
    public void Growth_AndSensitivity_CountInterruptions()
    {
        Plan plan = TidemarkJob.Plan;
        PlanResult result = Evaluate(plan, Offered("Heron-32", Metered(3.01m), Interruptible(1.00m, 0.04), Term(900)), Offered("Heron-16", Metered(6.02m)));
        GrowthOutlook growth = GrowthOutlook.Of(result, s_scaling);

        Assert.Equal(InterruptedName, result.Verdict.Choice!.Name);
        Assert.Equal(3, growth.Lanes.Length);
        GrowthLane interrupted = growth.Lanes.Single(lane => lane.Outcome.Name == InterruptedName);
        GrowthLane plain = growth.Lanes.Single(lane => lane.Outcome.Name == "Heron-32, metered");
        Assert.True(interrupted.MissedFrom < plain.MissedFrom);
        Assert.Equal(InterruptedName, growth.Path[0].Outcome!.Name);
        Assert.Equal(Math.Ceiling(result.Verdict.Choice.MonthsUntilMissed!.Value), growth.Path[0].Months, 1.0);
        Sensitivity sensitivity = Sensitivity.Of(result, s_scaling)!;
        Assert.Equal(InterruptedName, sensitivity.Choice);
        Assert.True(sensitivity.BaseCost > 0);
    }

    private const string InterruptedName = "Heron-32, interruptible";

    [Fact]
    public void Evaluate_OfAnyWaysToPay_RecommendsWhatIsNeverDominatedAndReachesTheTarget()
    {
        Gen<PurchaseOption> way = Gen.OneOf(
            Gen.Decimal[0, 20].Select(price => (PurchaseOption)Metered(price)),
            Gen.Decimal[0, 20].Select(price => (PurchaseOption)(Metered(price) with { AlwaysOn = true })),
            Gen.Select(Gen.Decimal[0, 10], Gen.Double[0, 6], Gen.Double[0, 600], Gen.Double[0.5, 200]).Select((price, rate, restart, checkpoint) =>
                (PurchaseOption)Interruptible(price, rate, restart, checkpoint < 100 ? checkpoint : null)),
            Gen.Select(Gen.Decimal[0, 2_000], Gen.Decimal[0, 9_000], Gen.Int[1, 48]).Select((price, upfront, months) => (PurchaseOption)Term(price, months, upfront)),
            Gen.Select(Gen.Decimal[0, 90_000], Gen.Int[1, 72], Gen.Decimal[0, 9]).Select((price, months, licence) =>
                (PurchaseOption)(Owned(price, months) with { LicencePerCoreMonth = licence })));
        Gen<MachineType> machine = Gen.Select(Gen.Int[1, 128], Gen.Double[0.5, 2], Gen.Double[4, 256], Gen.Double[0, 900], way.Array[1, 4])
            .Select((threads, speed, memory, startUp, ways) => TidemarkJob.Machine("any", threads, threads, speed, memory, startUp, 1) with { Purchase = [.. ways] });
        Gen.Select(machine.Array[1, 8], Gen.Double[300, 9_000], Gen.Double[0.5, 0.999], Gen.Double[0.5, 900]).ForAll(
            one =>
            {
                Plan plan = TidemarkJob.Plan with { Window = new BatchWindow(one.Item2, one.Item3), RunsPerMonth = one.Item4 };
                PlanResult result = Planner.Evaluate(
                    plan, CatalogueOf([.. one.Item1.Select((m, i) => m with { Name = $"m{i}" })]), new PlannerSettings { Cores = [16], SimulateNextRuns = false }, s_scaling);
                MachineOutcome[] able = [.. result.Machines.Where(outcome => outcome.Fits && outcome.Finishes)];
                Assert.All(able.Where(outcome => outcome.OnFrontier), kept => Assert.DoesNotContain(able, other => Dominates(other, kept)));
                MachineOutcome[] holding = [.. able.Where(outcome => outcome.ChanceInWindow >= plan.Window!.TargetChance)];
                Assert.Equal(holding.Length > 0, result.Verdict.State == VerdictState.Holds);
                if (holding.Length > 0)
                {
                    MachineOutcome choice = result.Verdict.Choice!;
                    Assert.Contains(choice, holding);
                    Assert.DoesNotContain(holding, other => Dominates(other, choice));
                    Assert.Equal(holding.Min(outcome => outcome.CostPerRun), choice.CostPerRun);
                }

                Assert.All(result.Machines, outcome =>
                {
                    Assert.False(string.IsNullOrWhiteSpace(outcome.Why));
                    Assert.InRange(outcome.ChanceInWindow!.Value, 0, 1);
                    Assert.True(outcome.StartToFinishSeconds.Low <= outcome.StartToFinishSeconds.Median && outcome.StartToFinishSeconds.Median <= outcome.StartToFinishSeconds.High);
                    Assert.Equal((double)outcome.CostPerMonth, (double)BreakEven.CostAt(outcome, (decimal)plan.RunsPerMonth), 1e-6);
                });
            },
            60);

        static bool Dominates(MachineOutcome one, MachineOutcome other) =>
            one.StartToFinishSeconds.Median <= other.StartToFinishSeconds.Median && one.CostPerRun <= other.CostPerRun
            && (one.StartToFinishSeconds.Median < other.StartToFinishSeconds.Median || one.CostPerRun < other.CostPerRun);
    }

    private static MachineOutcome Of<TPurchase>(PlanResult result) => result.Machines.Single(outcome => outcome.Purchase is TPurchase);

    private static PlanResult Evaluate(Plan plan, params ImmutableArray<MachineType> machines) =>
        Planner.Evaluate(plan, CatalogueOf(machines), new PlannerSettings { SimulateNextRuns = false }, s_scaling);
}
