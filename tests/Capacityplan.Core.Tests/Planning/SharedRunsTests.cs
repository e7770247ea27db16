using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using static Capacityplan.Core.Tests.Planning.WaysToPay;

namespace Capacityplan.Core.Tests.Planning;

/// <summary>What machines of a catalogue share, against each worked out by itself and the plain way.</summary>
public sealed class SharedRunsTests
{
    private static readonly ScalingForecast s_scaling = Planner.Scale(TidemarkJob.Plan);

    // As many cores' worth, and nothing else alike.
    private static readonly ImmutableArray<MachineType> s_machines =
    [
        .. from speed in (double[])[0.7, 1, 1.22, 1.9]
           from cores in (int[])[8, 12, 16]
           select TidemarkJob.Machine($"{cores} at {speed}", cores, cores, speed, 64, 30 * speed, 0) with
           {
               Purchase =
               [
                   Metered((decimal)(cores * speed) / 8), Interruptible((decimal)(cores * speed) / 20, speed / 2), Interruptible((decimal)(cores * speed) / 19, 3 * speed, 60, 15),
                   Term((decimal)(cores * speed) * 40), Metered((decimal)(cores * speed) / 9, "SEK") with { AlwaysOn = true },
               ],
           },
    ];

    [Fact]
    public void Evaluate_OfMachinesThatShareTheirRuns_GivesEachTheFiguresItHasAlone()
    {
        foreach (MachineOutcome together in Evaluate(TidemarkJob.Plan, s_machines).Machines)
        {
            MachineOutcome alone = Evaluate(TidemarkJob.Plan, together.Machine).Machines.Single(outcome => outcome.Purchase == together.Purchase);
            Assert.Equal(alone with { Currency = "", Rate = 1, OnFrontier = false, Why = null }, together with { Currency = "", Rate = 1, OnFrontier = false, Why = null });
        }
    }

    [Fact]
    public void Evaluate_OfAFasterMachine_GivesTheSameRunInProportion()
    {
        PlanResult result = Evaluate(TidemarkJob.Plan, s_machines);
        MachineOutcome[] metered = [.. result.Machines.Where(outcome => outcome.Purchase is MeteredPurchase { AlwaysOn: false })];
        foreach (MachineOutcome outcome in metered)
        {
            // The plain way: the curves' own times at so many cores, at the machine's speed.
            double[] seconds = new double[s_scaling.DrawCount];
            s_scaling.CurveSeconds(outcome.EffectiveCores, seconds);
            var run = new RunTimeMixture([.. seconds.Select(one => one / outcome.Machine.RelativeCoreSpeed)], s_scaling.LogNoise(outcome.EffectiveCores));
            Assert.Equal(1, outcome.RunSeconds.Median / run.Quantile(0.5), 1e-7);
            Assert.Equal(1, outcome.RunSeconds.High / run.Quantile(0.9), 1e-7);
            double left = 3600 - outcome.Machine.StartUpSeconds;
            Assert.Equal(13.0 / 14 * run.ChanceWithin(left) + 1.0 / 14 * run.ChanceWithin(left / 1.45), outcome.ChanceInWindow!.Value, 1e-9);
        }
    }

    [Fact]
    public void LargestInputFactor_IsTheLastThatMeetsTheTarget()
    {
        var window = new BatchWindow(3600);
        var runs = new MachineRuns(TidemarkJob.Plan, s_scaling);
        int holding = 0;
        foreach (MachineType machine in s_machines)
        {
            MachineRun plain = runs.On(machine);
            var interruptions = new InterruptedRuns(Interruptions.Of(machine.Purchase[2])!, 1);
            foreach (MachineRun run in (MachineRun[])[plain, plain.Interrupted(interruptions)])
            {
                if (run.LargestInputFactor(window) is not { } largest)
                    continue;
                holding++;
                Assert.True(run.Chance(window, largest) >= window.TargetChance);
                Assert.True(run.Chance(window, largest * (1 + 1e-8)) < window.TargetChance);
            }
        }

        Assert.InRange(holding, 6, 23);
    }

    [Fact]
    public void HoldsGiven_IsWhetherTheChanceReachesTheTarget()
    {
        var window = new BatchWindow(3600);
        var runs = new MachineRuns(TidemarkJob.Plan, s_scaling);
        int holding = 0, counted = 0;
        foreach (MachineType machine in s_machines)
        {
            MachineRun plain = runs.On(machine);
            foreach (MachineRun run in (MachineRun[])[plain, plain.Interrupted(new InterruptedRuns(Interruptions.Of(machine.Purchase[1])!, 1))])
            {
                for (int draw = 0; draw < run.DrawCount; draw += 40, counted++)
                {
                    bool holds = run.HoldsGiven(draw, window);
                    Assert.Equal(run.ChanceGiven(draw, window) >= window.TargetChance, holds);
                    holding += holds ? 1 : 0;
                }
            }
        }

        Assert.InRange(holding, 0.1 * counted, 0.9 * counted);
    }

    private static PlanResult Evaluate(Plan plan, params ImmutableArray<MachineType> machines) =>
        Planner.Evaluate(plan, CatalogueOf(machines), new PlannerSettings { SimulateNextRuns = false }, s_scaling);
}
