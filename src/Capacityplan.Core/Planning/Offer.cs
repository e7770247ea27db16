using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Planning;

/// <summary>A machine paid for in one way, with the job's run on it.</summary>
/// <param name="Run">The job on the machine, with the interruptions of the way to pay.</param>
/// <param name="Outcome">Its figures.</param>
/// <param name="Comparable">False where its currency is not the one the others are in and no rate converts it.</param>
internal sealed record Offer(MachineRun Run, MachineOutcome Outcome, bool Comparable = true)
{
    public double MedianSeconds => Outcome.StartToFinishSeconds.Median;

    public string Name => Outcome.Name;

    /// <summary>True where it can be chosen, given its chance.</summary>
    public bool IsAble => Comparable && Outcome.Fits && Outcome.Finishes;
}

/// <summary>Makes offers of the machines of a catalogue.</summary>
internal sealed class OfferMaker
{
    private readonly Plan _plan;
    private readonly ScalingForecast _scaling;
    private readonly Catalogue _catalogue;
    private readonly PlannerSettings _settings;
    private readonly Dictionary<Interruptions, InterruptedRuns> _interruptions = [];

    public OfferMaker(Plan plan, ScalingForecast scaling, Catalogue catalogue, PlannerSettings settings)
    {
        (_plan, _scaling, _catalogue, _settings) = (plan, scaling, catalogue, settings);
        Currency = catalogue.Machines.SelectMany(machine => machine.Purchase).GroupBy(purchase => purchase.Currency).MaxBy(group => group.Count())?.Key;
    }

    /// <summary>The currency most offers are in, which the others are converted to; null where there are none.</summary>
    public string? Currency { get; }

    /// <summary>A machine in every way it can be paid for.</summary>
    public IEnumerable<Offer> Of(MachineRun plain)
    {
        Figures? uninterrupted = null;
        foreach (PurchaseOption purchase in plain.Machine.Purchase)
        {
            // How long it takes and how surely depends on how it is paid for only where it may be interrupted.
            yield return Interruptions.Of(purchase) is { } interruptions
                ? Price(Figured(plain.Interrupted(Interrupted(interruptions))), purchase)
                : Price(uninterrupted ??= Figured(plain), purchase);
        }
    }

    /// <summary>The runs of one set of interruptions, simulated once for all machines.</summary>
    private InterruptedRuns Interrupted(Interruptions interruptions)
    {
        if (!_interruptions.TryGetValue(interruptions, out InterruptedRuns? runs))
            _interruptions.Add(interruptions, runs = new InterruptedRuns(interruptions, _settings.Seed));
        return runs;
    }

    private Figures Figured(MachineRun run)
    {
        Band seconds = run.RunSeconds(_settings.BandShare);
        bool fits = _plan.MemoryNeededGiB <= run.Machine.MemoryGiB;
        double held = run.HeldSeconds(seconds.Median);
        bool finishes = held < PurchaseOption.MostHeldSeconds;
        return new Figures
        {
            Run = run,
            Fits = fits,
            Finishes = finishes,
            RunSeconds = seconds,
            HeldSeconds = held,
            StartToFinishSeconds = run.StartToFinishSeconds(seconds, _settings.BandShare),
            HeavyStartToFinishSeconds = _plan.Nights.HeavyShare > 0 ? run.HeavyStartToFinishSeconds(seconds, _settings.BandShare) : null,
            Chance = _plan.Window is { } window ? run.Chance(window) : null,
            OrdinaryChance = _plan.Window is { } ordinary ? run.ChanceOn(ordinary, heavy: false) : null,
            HeavyChance = _plan.Window is { } heavy ? run.ChanceOn(heavy, heavy: true) : null,
            LargestInput = fits && finishes && _plan.Window is { } asked ? run.LargestInputFactor(asked) : null,
        };
    }

    private Offer Price(Figures figures, PurchaseOption purchase)
    {
        MachineType machine = figures.Run.Machine;
        decimal? rate = Currency is null ? null : _catalogue.RateFor(purchase.Currency, Currency);
        decimal Converted(decimal amount) => MachineOutcome.Bounded(amount, _plan.PriceFactor, rate ?? 1);
        return new Offer(
            figures.Run,
            new MachineOutcome
            {
                Machine = machine,
                Purchase = purchase,
                Fits = figures.Fits,
                Finishes = figures.Finishes,
                EffectiveCores = figures.Run.EffectiveCores,
                TimesPastMeasured = _scaling.MeasuredUpToCores is { } measured ? figures.Run.EffectiveCores / measured : null,
                RunSeconds = figures.RunSeconds,
                StartToFinishSeconds = figures.StartToFinishSeconds,
                HeavyStartToFinishSeconds = figures.HeavyStartToFinishSeconds,
                HeldSeconds = figures.HeldSeconds,
                ExpectedInterruptionsPerRun = figures.Run.ExpectedInterruptions(figures.RunSeconds.Median),
                BestCheckpointSeconds = figures.Run.Interruptions?.IntervalSeconds,
                ChanceInWindow = figures.Chance,
                ChanceOnOrdinaryNights = figures.OrdinaryChance,
                ChanceOnHeavyNights = figures.HeavyChance,
                Currency = rate is null ? purchase.Currency : Currency!,
                Rate = rate ?? 1,
                CostPerRun = Converted(purchase.CostOfRun(machine, _plan.RunsPerMonth, figures.HeldSeconds)),
                CostPerMonth = Converted(purchase.CostOfMonth(machine, _plan.RunsPerMonth, figures.HeldSeconds)),
                FixedCostPerMonth = Converted(purchase.FixedCostOfMonth(machine)),
                CostOfOneMoreRun = Converted(purchase.CostOfOneMoreRun(figures.HeldSeconds)),
                OnFrontier = false,
                MeetsTarget = figures.Fits && figures.Finishes && figures.Chance >= _plan.Window?.TargetChance,
                LargestInputFactor = figures.LargestInput,
                MonthsUntilMissed = figures.LargestInput is { } factor ? _plan.Growth.MonthsUntilAbove(factor) : null,
                Why = null,
            },
            rate is not null);
    }

    /// <summary>What does not depend on the price.</summary>
    private sealed record Figures
    {
        public required MachineRun Run { get; init; }

        public required bool Fits { get; init; }

        public required bool Finishes { get; init; }

        public required Band RunSeconds { get; init; }

        public required double HeldSeconds { get; init; }

        public required Band StartToFinishSeconds { get; init; }

        public required Band? HeavyStartToFinishSeconds { get; init; }

        public required double? Chance { get; init; }

        public required double? OrdinaryChance { get; init; }

        public required double? HeavyChance { get; init; }

        public required double? LargestInput { get; init; }
    }
}
