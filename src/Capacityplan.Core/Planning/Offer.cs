using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Planning;

/// <summary>A machine paid for in one way, with the job's run on it.</summary>
/// <param name="Run">The job on the machine.</param>
/// <param name="Outcome">Its figures.</param>
/// <param name="Comparable">False where its currency is not the one the others are in.</param>
internal sealed record Offer(MachineRun Run, MachineOutcome Outcome, bool Comparable = true)
{
    public double MedianSeconds => Outcome.StartToFinishSeconds.Median;

    public string Name => Outcome.Machine.Name;

    /// <summary>Prices a run in every way its machine can be paid for.</summary>
    public static IEnumerable<Offer> Price(MachineRun run, ScalingForecast scaling, PlannerSettings settings)
    {
        Plan plan = run.Plan;
        MachineType machine = run.Machine;
        Band seconds = run.RunSeconds(settings.BandShare);
        Band startToFinish = seconds.Plus(machine.StartUpSeconds);
        bool fits = plan.MemoryNeededGiB <= machine.MemoryGiB;
        double? chance = plan.Window is { } window ? run.Chance(window) : null;
        bool heavy = plan.Nights.HeavyShare > 0;
        double? largestInput = fits && plan.Window is { } asked ? run.LargestInputFactor(asked) : null;
        // How long it takes and how surely does not depend on how it is paid for.
        Band? heavyStartToFinish = heavy ? run.HeavyRunSeconds(settings.BandShare).Plus(machine.StartUpSeconds) : null;
        double? ordinaryChance = plan.Window is { } ordinary ? run.ChanceOn(ordinary, heavy: false) : null;
        double? heavyChance = plan.Window is { } heavyWindow ? run.ChanceOn(heavyWindow, heavy: true) : null;
        foreach (PurchaseOption purchase in machine.Purchase)
        {
            decimal costPerRun = purchase.CostOfRun(machine, plan.RunsPerMonth, startToFinish.Median) * (decimal)plan.PriceFactor;
            yield return new Offer(run, new MachineOutcome
            {
                Machine = machine,
                Purchase = purchase,
                Fits = fits,
                EffectiveCores = run.EffectiveCores,
                TimesPastMeasured = scaling.MeasuredUpToCores is { } measured ? run.EffectiveCores / measured : null,
                RunSeconds = seconds,
                StartToFinishSeconds = startToFinish,
                HeavyStartToFinishSeconds = heavyStartToFinish,
                ChanceInWindow = chance,
                ChanceOnOrdinaryNights = ordinaryChance,
                ChanceOnHeavyNights = heavyChance,
                CostPerRun = costPerRun,
                CostPerMonth = purchase.CostOfMonth(machine, plan.RunsPerMonth, startToFinish.Median) * (decimal)plan.PriceFactor,
                OnFrontier = false,
                MeetsTarget = fits && chance >= plan.Window?.TargetChance,
                LargestInputFactor = largestInput,
                MonthsUntilMissed = largestInput is { } factor ? plan.Growth.MonthsUntilAbove(factor) : null,
                Why = null,
            });
        }
    }
}
