using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Planning;

/// <summary>A machine, paid for in one way, priced for a job.</summary>
public sealed record MachineOutcome
{
    /// <summary>The machine.</summary>
    public required MachineType Machine { get; init; }

    /// <summary>How it is paid for.</summary>
    public required PurchaseOption Purchase { get; init; }

    /// <summary>False where the job needs more memory than the machine has.</summary>
    public required bool Fits { get; init; }

    /// <summary>Its threads in physical cores' worth.</summary>
    public required double EffectiveCores { get; init; }

    /// <summary>Cores' worth over the largest measured core count; null where nothing was measured.</summary>
    public required double? TimesPastMeasured { get; init; }

    /// <summary>Run time on an ordinary night, interruptions not counted, seconds.</summary>
    public required Band RunSeconds { get; init; }

    /// <summary>Start-up and run on an ordinary night, interruptions counted, seconds; no figure above <see cref="PurchaseOption.MostHeldSeconds"/> and the start-up.</summary>
    public required Band StartToFinishSeconds { get; init; }

    /// <summary>Start-up and run on a heavy night, seconds; null where nights are alike.</summary>
    public required Band? HeavyStartToFinishSeconds { get; init; }

    /// <summary>Chance of ending inside the window over all nights; null without a window.</summary>
    public required double? ChanceInWindow { get; init; }

    /// <summary>That chance on ordinary nights; null without a window.</summary>
    public required double? ChanceOnOrdinaryNights { get; init; }

    /// <summary>That chance on heavy nights; null without a window or where nights are alike.</summary>
    public required double? ChanceOnHeavyNights { get; init; }

    /// <summary>Seconds a run is paid for: start-up and the median run time, lengthened by interruptions on average.</summary>
    public double HeldSeconds { get; init => field = Require.NotNegative(value, nameof(HeldSeconds)); }

    /// <summary>False where interruptions let a run hardly ever finish: it would take longer than
    /// <see cref="PurchaseOption.MostHeldSeconds"/> on average, for which its costs are given.</summary>
    public bool Finishes { get; init; } = true;

    /// <summary>Interruptions in a run of median time, on average; null where there are none.</summary>
    public double? ExpectedInterruptionsPerRun { get; init; }

    /// <summary>The work between two checkpoints that makes the expected time shortest, seconds; null where no checkpoints are
    /// written or nothing interrupts.</summary>
    public double? BestCheckpointSeconds { get; init; }

    /// <summary>ISO 4217 code of every cost here: that of the purchase, or the one most prices are in where a rate converts it.</summary>
    public string Currency { get => field ?? Purchase.Currency; init; }

    /// <summary>Units of <see cref="Currency"/> for one of the purchase's, which every cost here is multiplied by.</summary>
    public decimal Rate { get; init; } = 1;

    /// <summary>A run's share of the month, for <see cref="HeldSeconds"/>: what one more run costs and its part of the fixed costs; not rounded.</summary>
    public required decimal CostPerRun { get; init; }

    /// <summary>What a month costs: fixed costs, and runs a month times what one more costs; not rounded.</summary>
    public required decimal CostPerMonth { get; init; }

    /// <summary>What a month costs before anything has run; not rounded.</summary>
    public decimal FixedCostPerMonth { get; init; }

    /// <summary>What one more run adds to the bill; 0 where the month is paid for whatever runs. Not rounded.</summary>
    public decimal CostOfOneMoreRun { get; init; }

    /// <summary>True where no machine that fits is both faster and cheaper.</summary>
    public required bool OnFrontier { get; init; }

    /// <summary>True where it fits and its chance reaches the target.</summary>
    public required bool MeetsTarget { get; init; }

    /// <summary>The largest input, times the planned one, at which it still meets the target; null without a window or where it does not meet it now.</summary>
    public required double? LargestInputFactor { get; init; }

    /// <summary>Months of growth until it first misses the target; null without a window, where it does not meet it now, or where the input does not grow.</summary>
    public required double? MonthsUntilMissed { get; init; }

    /// <summary>Why it is chosen, or why not, in one sentence; null without a window.</summary>
    public required string? Why { get; init; }

    /// <summary>The machine's name, with the way to pay where it is offered in several.</summary>
    public string Name => PurchaseWords.Name(Machine, Purchase);

    /// <summary>What a month with other runs costs, in <see cref="Currency"/>; not rounded.</summary>
    /// <param name="plan">The plan, which has the runs a month and a factor on prices.</param>
    /// <param name="heldSeconds">Seconds a run is paid for.</param>
    internal decimal CostOfMonth(Plan plan, double heldSeconds) => Bounded(
        Purchase.CostOfMonth(Machine, plan.RunsPerMonth, Math.Min(heldSeconds, PurchaseOption.MostHeldSeconds)), plan.PriceFactor, Rate);

    /// <summary>An amount times the factor on prices and a rate. No price, run or rate is so large that it matters that it ends at
    /// <see cref="MostCost"/>, but all of them at their limits would be.</summary>
    internal static decimal Bounded(decimal amount, double priceFactor, decimal rate) =>
        (double)amount * priceFactor * (double)rate < (double)MostCost ? amount * (decimal)priceFactor * rate : MostCost;

    private const decimal MostCost = 1_000_000_000_000_000_000_000_000_000m;
}
