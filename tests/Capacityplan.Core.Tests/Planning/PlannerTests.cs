using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using CsCheck;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.Random;

namespace Capacityplan.Core.Tests.Planning;

public sealed class PlannerTests
{
    private static readonly PlanResult s_demo = Evaluate(TidemarkJob.Plan);

    [Fact]
    public void Evaluate_OfTheDemo_ChoosesTheCheapestThatHolds()
    {
        Assert.Equal(VerdictState.Holds, s_demo.Verdict.State);
        MachineOutcome choice = s_demo.Verdict.Choice!;
        Assert.Equal("Heron-16", choice.Machine.Name);
        Assert.Equal(
            $"Heron-16 finishes in {Figures.TimeWithBand(choice.StartToFinishSeconds)}, inside the 60\u00A0min window on {Figures.Chance(choice.ChanceInWindow!.Value)} nights, for {Figures.MoneyOfRun(choice.CostPerRun, "EUR")} a run.",
            s_demo.Verdict.Sentence);
        Assert.Contains("1.25 times past the 8 measured", s_demo.Verdict.Then, StringComparison.Ordinal);
        Assert.Equal("Heron-32", s_demo.NextFaster!.Machine.Name);
    }

    [Fact]
    public void Evaluate_AfterAnotherAnswer_TakesOverItsCurvesOnlyWhereTheyAreTheSame()
    {
        ScalingForecast scaling = Planner.Scale(TidemarkJob.Plan);
        PlanResult before = Answer(TidemarkJob.Plan);
        Plan otherWindow = TidemarkJob.Plan with { Window = new BatchWindow(4000, 0.9) };
        Plan moreInput = TidemarkJob.Plan with { InputFactor = 1.25 };

        Assert.Same(before.Forecast, Answer(otherWindow, before).Forecast);
        AssertLike(Answer(otherWindow), Answer(otherWindow, before));
        Assert.NotSame(before.Forecast, Answer(moreInput, before).Forecast);
        AssertLike(Answer(moreInput), Answer(moreInput, before));
        PlanResult refitted = Planner.Evaluate(TidemarkJob.Plan, TidemarkJob.Catalogue, new(), Planner.Scale(TidemarkJob.Plan), before);
        Assert.NotSame(before.Forecast, refitted.Forecast);

        PlanResult Answer(Plan plan, PlanResult? last = null) => Planner.Evaluate(plan, TidemarkJob.Catalogue, new(), scaling, last);

        static void AssertLike(PlanResult one, PlanResult other)
        {
            Assert.Equal(one.Forecast.Curve, other.Forecast.Curve);
            Assert.Equal(one.Forecast.Points, other.Forecast.Points);
            Assert.Equal(one.Machines, other.Machines);
            Assert.Equal(one.Verdict.Sentence, other.Verdict.Sentence);
        }
    }

    [Fact]
    public void Evaluate_TellsFirst_WhatOnlyLacksTheOutlook()
    {
        var told = new List<PlanResult>();

        PlanResult result = Planner.Evaluate(TidemarkJob.Plan, TidemarkJob.Catalogue, new(), first: told.Add);

        PlanResult first = Assert.Single(told);
        Assert.Null(first.Outlook);
        Assert.NotNull(result.Outlook);
        Assert.Equal(result, first with { Outlook = result.Outlook });
    }

    [Fact]
    public void Evaluate_PricesARun_AsWorkedByHand()
    {
        // Heron-16: 8 cores and 8 second threads at 0.25 are 10 cores' worth; start-up 45 s; by the second at 1.50 an hour.
        MachineOutcome heron = Outcome(s_demo, "Heron-16");
        double run = heron.StartToFinishSeconds.Median;

        Assert.Equal(10, heron.EffectiveCores, 1e-12);
        Assert.Equal(heron.RunSeconds.Median + 45, run, 1e-9);
        Assert.Equal((decimal)Math.Ceiling(run) * 1.50m / 3600m, heron.CostPerRun);
        Assert.Equal(heron.CostPerRun * 30.4m, heron.CostPerMonth);
        Assert.Equal(1.25, heron.TimesPastMeasured!.Value, 1e-12);
    }

    [Fact]
    public void Evaluate_OnAFasterCore_DividesTheRunTimeByItsSpeed()
    {
        MachineType slow = TidemarkJob.Machine("slow", 8, 8, 1, 64, 0, 1), fast = TidemarkJob.Machine("fast", 8, 8, 2, 64, 0, 1);
        PlanResult result = Evaluate(TidemarkJob.Plan, slow, fast);

        Assert.Equal(2, Outcome(result, "slow").RunSeconds.Median / Outcome(result, "fast").RunSeconds.Median, 1e-9);
        PlanResult elsewhere = Evaluate(TidemarkJob.Plan with { MeasuredOn = new MeasuredOn { PhysicalCores = 8, RelativeCoreSpeed = 2 } }, slow);
        Assert.Equal(2, elsewhere.Machines[0].RunSeconds.Median / Outcome(result, "slow").RunSeconds.Median, 1e-9);
    }

    [Fact]
    public void Evaluate_MixesOrdinaryAndHeavyNights_ByTheirShares()
    {
        MachineOutcome heron = Outcome(s_demo, "Heron-16");

        Assert.Equal(
            (13 * heron.ChanceOnOrdinaryNights!.Value + heron.ChanceOnHeavyNights!.Value) / 14, heron.ChanceInWindow!.Value, 1e-12);
        Assert.True(heron.ChanceOnHeavyNights < heron.ChanceOnOrdinaryNights);
        Assert.Equal(heron.RunSeconds.Median * 1.45 + 45, heron.HeavyStartToFinishSeconds!.Value.Median, 1e-9);
    }

    [Fact]
    public void Evaluate_GivesTheChance_ThatDrawnNightsHave()
    {
        // Against plain sampling of nights: draw a curve, a night, a noise. 4 standard errors of 200,000 nights.
        ScalingForecast scaling = Planner.Scale(TidemarkJob.Plan);
        MachineOutcome heron = Outcome(s_demo, "Heron-16");
        double[] curve = new double[scaling.DrawCount];
        scaling.CurveSeconds(10, curve);
        var random = new Xoshiro256StarStar(7, threadSafe: false);
        var noise = new Normal(0, scaling.LogNoise(10), random);
        const int Nights = 200_000;
        int held = 0;
        for (int night = 0; night < Nights; night++)
        {
            double input = random.NextDouble() < 1.0 / 14 ? 1.45 : 1;
            double seconds = 45 + curve[random.Next(curve.Length)] / 1.22 * input * Math.Exp(noise.Sample());
            if (seconds <= 3600)
                held++;
        }

        double chance = heron.ChanceInWindow!.Value;
        Assert.Equal((double)held / Nights, chance, 4 * Math.Sqrt(chance * (1 - chance) / Nights) + 0.001);
    }

    [Fact]
    public void Evaluate_OfAMachineWithTooLittleMemory_SaysItDoesNotFit_AndNeverChoosesIt()
    {
        MachineOutcome small = Outcome(s_demo, "Wren-2");

        Assert.False(small.Fits);
        Assert.False(small.MeetsTarget || small.OnFrontier);
        Assert.Equal("Does not fit: it has 8 GiB, the job needs 24 GiB.", small.Why!.Replace(Figures.NoBreakSpace, ' '));
        Assert.Equal(["Wren-2", "Wren-4"], s_demo.Machines.TakeLast(2).Select(outcome => outcome.Machine.Name).Order());
    }

    [Fact]
    public void Evaluate_WithoutAWindow_TimesEachMachine_AndAsksForOne()
    {
        PlanResult result = Evaluate(TidemarkJob.Plan with { Window = null });

        Assert.Equal(VerdictState.NotYet, result.Verdict.State);
        Assert.Equal("When must it be done?", result.Verdict.Sentence);
        Assert.Equal(12, result.Machines.Length);
        Assert.All(result.Machines, outcome => Assert.Null(outcome.ChanceInWindow));
    }

    [Fact]
    public void Evaluate_WithTooShortAWindow_NamesTheClosest_AndTheWindowThatWouldHold()
    {
        Plan hurried = TidemarkJob.Plan with { Window = new BatchWindow(15 * 60) };
        PlanResult result = Evaluate(hurried);

        Assert.Equal(VerdictState.Misses, result.Verdict.State);
        MachineOutcome closest = result.Verdict.Choice!;
        Assert.Equal(result.Machines.Where(outcome => outcome.Fits).Max(outcome => outcome.ChanceInWindow)!.Value, closest.ChanceInWindow!.Value, 0.01);
        Assert.StartsWith("No machine holds a 15\u00A0min window on 19 nights in 20.", result.Verdict.Sentence, StringComparison.Ordinal);
        Assert.Null(result.NextFaster);
        Assert.Null(result.ShareChoiceStays);
    }

    [Fact]
    public void Evaluate_WhereStartUpFillsTheWindow_HasNoChance()
    {
        PlanResult result = Evaluate(TidemarkJob.Plan, TidemarkJob.Machine("slow to start", 64, 64, 1, 64, 4_000, 1));

        Assert.Equal(0, result.Machines[0].ChanceInWindow);
        Assert.Equal(VerdictState.Misses, result.Verdict.State);
    }

    [Fact]
    public void Evaluate_WhereNothingFits_SaysHowMuchMemoryTheLargestHas()
    {
        PlanResult result = Evaluate(TidemarkJob.Plan with { MemoryGiB = 4_000 });

        Assert.Equal(VerdictState.Misses, result.Verdict.State);
        Assert.Null(result.Verdict.Choice);
        Assert.Contains("1,536\u00A0GiB", result.Verdict.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Evaluate_OfAnEmptyCatalogue_AsksForMachines() =>
        Assert.Equal("Which machines can you have?", Evaluate(TidemarkJob.Plan, []).Verdict.Sentence);

    [Fact]
    public void Evaluate_OfTwoCurrencies_ComparesOnlyWithinOne_AndSaysSo()
    {
        PlanResult result = Evaluate(
            TidemarkJob.Plan, TidemarkJob.Machine("a", 16, 16, 1, 64, 0, 2), TidemarkJob.Machine("b", 16, 16, 1, 64, 0, 3),
            TidemarkJob.Machine("c", 16, 16, 1, 64, 0, 0.01m, "USD"));

        Assert.Equal("a", result.Verdict.Choice!.Machine.Name);
        Assert.Contains(result.Problems, problem => problem.Path == "machines" && problem.Severity == ProblemSeverity.Warning);
        Assert.False(Outcome(result, "c").OnFrontier);
    }

    [Fact]
    public void Evaluate_OfGrowth_FindsTheInputAtWhichTheChanceFallsToTheTarget()
    {
        MachineOutcome heron = Outcome(s_demo, "Heron-16");
        double factor = heron.LargestInputFactor!.Value;
        MachineOutcome then = Outcome(Evaluate(TidemarkJob.Plan with { InputFactor = factor }), "Heron-16");

        Assert.Equal(0.95, then.ChanceInWindow!.Value, 1e-3);
        Assert.Equal(Math.Log(factor) / Math.Log(1.01), heron.MonthsUntilMissed!.Value, 1e-9);
        Assert.Null(Outcome(s_demo, "Wren-8").MonthsUntilMissed);
    }

    [Fact]
    public void Evaluate_Twice_IsTheSame() =>
        Assert.Equal(
            s_demo.Machines.Select(outcome => (outcome.Machine.Name, outcome.StartToFinishSeconds, outcome.ChanceInWindow, outcome.CostPerRun)),
            Evaluate(TidemarkJob.Plan).Machines.Select(outcome => (outcome.Machine.Name, outcome.StartToFinishSeconds, outcome.ChanceInWindow, outcome.CostPerRun)));

    [Fact]
    public void Evaluate_OfAnyCatalogue_RecommendsWhatIsNeverDominatedAndReachesTheTarget()
    {
        ScalingForecast scaling = Planner.Scale(TidemarkJob.Plan);
        Gen<MachineType> machine = Gen.Select(Gen.Int[1, 128], Gen.Int[1, 128], Gen.Double[0.5, 2], Gen.Double[4, 256], Gen.Double[0, 900], Gen.Decimal[0, 20])
            .Select((threads, cores, speed, memory, startUp, price) => TidemarkJob.Machine("any", threads, cores, speed, memory, startUp, price));
        Gen.Select(machine.Array[1, 12], Gen.Double[300, 9_000], Gen.Double[0.5, 0.999]).ForAll(
            one =>
            {
                Plan plan = TidemarkJob.Plan with { Window = new BatchWindow(one.Item2, one.Item3) };
                Catalogue catalogue = new() { Name = "any", Machines = [.. one.Item1.Select((m, i) => m with { Name = $"m{i}" })] };
                PlanResult result = Planner.Evaluate(plan, catalogue, new PlannerSettings { Cores = [16] }, scaling);
                MachineOutcome[] able = [.. result.Machines.Where(outcome => outcome.Fits)];
                Assert.All(result.Machines.Where(outcome => outcome.OnFrontier), kept => Assert.DoesNotContain(able, other => Dominates(other, kept)));
                Assert.All(able.Where(outcome => !outcome.OnFrontier), left => Assert.Contains(able, other => Dominates(other, left) || Ties(other, left)));
                if (result.Verdict.State == VerdictState.Holds)
                {
                    MachineOutcome choice = result.Verdict.Choice!;
                    Assert.True(choice.Fits && choice.ChanceInWindow >= plan.Window!.TargetChance);
                    Assert.DoesNotContain(able.Where(outcome => outcome.MeetsTarget), other => Dominates(other, choice));
                    Assert.Equal(able.Where(outcome => outcome.MeetsTarget).Min(outcome => outcome.CostPerRun), choice.CostPerRun);
                }
                else
                {
                    Assert.DoesNotContain(able, outcome => outcome.ChanceInWindow >= plan.Window!.TargetChance);
                }

                Assert.All(result.Machines, outcome => Assert.False(string.IsNullOrWhiteSpace(outcome.Why)));
            },
            120);

        static bool Dominates(MachineOutcome one, MachineOutcome other) =>
            one.StartToFinishSeconds.Median <= other.StartToFinishSeconds.Median && one.CostPerRun <= other.CostPerRun
            && (one.StartToFinishSeconds.Median < other.StartToFinishSeconds.Median || one.CostPerRun < other.CostPerRun);

        static bool Ties(MachineOutcome one, MachineOutcome other) =>
            one != other && one.StartToFinishSeconds.Median == other.StartToFinishSeconds.Median && one.CostPerRun == other.CostPerRun;
    }

    [Fact]
    public void Evaluate_OfWorkAndSpan_LiesOnTheGreedyBoundPlusSteals()
    {
        var job = new WorkAndSpan(800, 9, 4_000);
        PlanResult result = Evaluate(new Plan([], job) { Window = new BatchWindow(120) });
        ForecastPoint sixteen = result.Forecast.Points.Single(point => point.Cores == 16);

        Assert.Equal(ForecastBasis.WorkAndSpan, result.Forecast.Basis);
        Assert.Null(result.Forecast.MeasuredUpToCores);
        // (800 - 9)/16 + 9 = 58.4375 by hand; forks, joins and steals of 4,000 tasks add a fraction of a millisecond each.
        Assert.Equal(58.4375, sixteen.GreedyCeilingSeconds, 0.01);
        Assert.Equal(58.44, sixteen.Seconds.Median, 0.6);
        Assert.Equal(50, sixteen.FloorSeconds, 0.5);
        Assert.True(sixteen.Seconds.Low < sixteen.Seconds.Median && sixteen.Seconds.Median < sixteen.Seconds.High);
    }

    [Fact]
    public void Evaluate_OfTimingsPastThePhysicalCores_CountsThemAsSecondThreads()
    {
        // Exact Amdahl times on cores' worth: 16 threads on 8 cores at 0.25 are worth 10.
        (int Cores, double Worth)[] runs = [(1, 1), (2, 2), (4, 4), (8, 8), (16, 10)];
        IEnumerable<Timing> timings = runs.Select(run => new Timing(run.Cores, 990 / run.Worth + 10));
        PlanResult result = Evaluate(new Plan([.. timings]) { MeasuredOn = new MeasuredOn { PhysicalCores = 8 } });

        Assert.Equal(10, result.Forecast.Measured[^1].CoresWorth, 1e-12);
        Assert.All(result.Forecast.Measured, point => Assert.InRange(point.OffTheFit, -0.03, 0.03));
        Assert.Contains(result.Problems, problem => problem.Path == "job.measuredOn");
    }

    [Fact]
    public void Forecast_OfTheDemo_HasTheShapeTheLawsAsk()
    {
        Forecast forecast = s_demo.Forecast;

        Assert.Equal(8, forecast.MeasuredUpToCores);
        Assert.All(forecast.Curve, point =>
        {
            Assert.True(point.FloorSeconds <= point.GreedyCeilingSeconds + 1e-9);
            Assert.True(point.Seconds.Low < point.Seconds.Median && point.Seconds.Median < point.Seconds.High);
            Assert.True(point.Seconds.Median >= 0.98 * point.FloorSeconds);
            Assert.Equal(point.Speedup.Median / point.Cores, point.Efficiency, 1e-12);
        });
        Assert.Equal(1, forecast.Curve[0].Speedup.Median, 1e-9);
        Assert.Equal(1, forecast.Models.Sum(model => model.Weight), 1e-12);
        Assert.True(forecast.Curve[^1].Cores >= 120);
        Assert.Equal(Limit.Work, forecast.Points.Single(point => point.Cores == 8).LimitedBy);
        Assert.Equal(Limit.Span, forecast.Points.Single(point => point.Cores == 128).LimitedBy);
    }

    [Fact]
    public void Forecast_AdvisesARunNearTheTarget_NotBelowTheMeasuredOnes()
    {
        PlanResult result = Evaluate(new Plan([new(1, 100), new(2, 52), new(4, 28)]), new PlannerSettings { Cores = [16] });

        NextMeasurement next = Assert.IsType<NextMeasurement>(result.Forecast.NextMeasurement);
        Assert.InRange(next.Cores, 8, 16);
        Assert.InRange(next.BandShrinkage, 0.1, 0.9);
    }

    [Fact]
    public void Evaluate_OfTimingsAndStatedWorkThatDisagree_Warns()
    {
        Plan both = new(TidemarkJob.Timings, new WorkAndSpan(40_000, 700, 1_000));

        Assert.Contains(Evaluate(both).Problems, problem => problem is { Path: "job.workAndSpan", Severity: ProblemSeverity.Warning });
        Plan agreeing = new(TidemarkJob.Timings, new WorkAndSpan(23_200, 700, 1_000));
        Assert.Contains(Evaluate(agreeing).Problems, problem => problem is { Path: "job.workAndSpan", Severity: ProblemSeverity.Note });
    }

    private static MachineOutcome Outcome(PlanResult result, string name) => result.Machines.Single(outcome => outcome.Machine.Name == name);

    private static PlanResult Evaluate(Plan plan, PlannerSettings? settings = null) =>
        Planner.Evaluate(plan, TidemarkJob.Catalogue, settings ?? new PlannerSettings());

    private static PlanResult Evaluate(Plan plan, params ImmutableArray<MachineType> machines) =>
        Planner.Evaluate(plan, new Catalogue { Name = "test", Machines = machines }, new PlannerSettings());
}
