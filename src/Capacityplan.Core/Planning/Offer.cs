using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>A machine paid for in one way, with the job's run on it.</summary>
/// <param name="Run">The job on the machine.</param>
/// <param name="Outcome">Its figures.</param>
/// <param name="Comparable">False where its currency is not the one the others are in.</param>
internal sealed record Offer(MachineRun Run, MachineOutcome Outcome, bool Comparable = true)
{
    public double MedianSeconds => Outcome.StartToFinishSeconds.Median;

    public string Name => Outcome.Machine.Name;

    public static Offer Price(MachineRun run, PurchaseOption purchase, ScalingForecast scaling, PlannerSettings settings)
    {
        Plan plan = run.Plan;
        MachineType machine = run.Machine;
        Band seconds = run.RunSeconds(settings.BandShare);
        Band startToFinish = seconds.Plus(machine.StartUpSeconds);
        bool fits = plan.MemoryGiB <= machine.MemoryGiB;
        double? chance = plan.Window is { } window ? run.Chance(window) : null;
        bool heavy = plan.Nights.HeavyShare > 0;
        decimal costPerRun = purchase.CostOfRun(startToFinish.Median);
        double? largestInput = fits && plan.Window is { } asked ? run.LargestInputFactor(asked) : null;
        return new Offer(run, new MachineOutcome
        {
            Machine = machine,
            Purchase = purchase,
            Fits = fits,
            EffectiveCores = run.EffectiveCores,
            TimesPastMeasured = scaling.MeasuredUpToCores is { } measured ? run.EffectiveCores / measured : null,
            RunSeconds = seconds,
            StartToFinishSeconds = startToFinish,
            HeavyStartToFinishSeconds = heavy ? seconds.Times(plan.Nights.HeavyFactor).Plus(machine.StartUpSeconds) : null,
            ChanceInWindow = chance,
            ChanceOnOrdinaryNights = plan.Window is { } ordinary ? run.ChanceOnNight(ordinary, 1) : null,
            ChanceOnHeavyNights = heavy && plan.Window is { } heavyWindow ? run.ChanceOnNight(heavyWindow, plan.Nights.HeavyFactor) : null,
            CostPerRun = costPerRun,
            CostPerMonth = costPerRun * (decimal)plan.RunsPerMonth,
            OnFrontier = false,
            MeetsTarget = fits && chance >= plan.Window?.TargetChance,
            LargestInputFactor = largestInput,
            MonthsUntilMissed = largestInput is { } factor && plan.GrowthPerMonth > 0 ? Log(factor) / Log(1 + plan.GrowthPerMonth) : null,
            Why = null,
        });
    }
}
