using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>A machine, paid for in one way, for the job.</summary>
/// <param name="Machine">The machine's name.</param>
/// <param name="Purchase">The kind of purchase.</param>
/// <param name="Option">Its place, from 0, in the machine's list of ways to pay.</param>
/// <param name="RunSeconds">Run time on an ordinary night without interruptions, seconds.</param>
/// <param name="StartToFinishSeconds">Start-up and run on an ordinary night, interruptions counted, seconds; no run counts more than 1e12.</param>
/// <param name="ChanceInWindow">Chance of ending inside the window, start-up, differing nights and interruptions counted; null without a window.</param>
/// <param name="HeldSeconds">Seconds a run is paid for: start-up and the median run, lengthened by interruptions on average.</param>
/// <param name="CostPerRun">Cost of a run at the median, start-up and interruptions on average included, and its share of what is paid by the month, in the currency; rounded to 6 decimals.</param>
/// <param name="CostPerMonth">Runs a month times the cost of a run before rounding, in the currency; rounded to 6 decimals.</param>
/// <param name="FixedCostPerMonth">What a month costs before anything has run, in the currency; rounded to 6 decimals.</param>
/// <param name="CostOfOneMoreRun">What one more run adds to the bill, in the currency; rounded to 6 decimals.</param>
/// <param name="Currency">ISO 4217 code of the costs: the one most prices are in where a rate converts into it, else that of the option.</param>
/// <param name="ExpectedInterruptionsPerRun">Interruptions in a run of median time, on average; null where there are none.</param>
/// <param name="BestCheckpointSeconds">Seconds of work between checkpoints that make the expected time shortest; null where none are written or nothing interrupts.</param>
/// <param name="OnFrontier">True where no machine that fits, compared in the same currency, is at least as fast and as cheap and better in one of the two.</param>
/// <param name="Fits">False where the job needs more memory than the machine has.</param>
/// <param name="Why">Why it is chosen, or why not, in one sentence; null without a window.</param>
public sealed record MachineAnswer(
    string Machine,
    string Purchase,
    int Option,
    Band RunSeconds,
    Band StartToFinishSeconds,
    double? ChanceInWindow,
    double HeldSeconds,
    decimal CostPerRun,
    decimal CostPerMonth,
    decimal FixedCostPerMonth,
    decimal CostOfOneMoreRun,
    string Currency,
    double? ExpectedInterruptionsPerRun,
    double? BestCheckpointSeconds,
    bool OnFrontier,
    bool Fits,
    string? Why)
{
    /// <summary>Costs are written with so many decimals: more than any price list has, fewer than binary times leave behind.</summary>
    private const int CostDecimals = 6;

    /// <summary>Writes a machine's figures.</summary>
    public static MachineAnswer Of(MachineOutcome outcome) => new(
        outcome.Machine.Name,
        outcome.Purchase.Kind,
        OptionOf(outcome),
        outcome.RunSeconds,
        outcome.StartToFinishSeconds,
        outcome.ChanceInWindow,
        outcome.HeldSeconds,
        Rounded(outcome.CostPerRun),
        Rounded(outcome.CostPerMonth),
        Rounded(outcome.FixedCostPerMonth),
        Rounded(outcome.CostOfOneMoreRun),
        outcome.Currency,
        outcome.ExpectedInterruptionsPerRun,
        outcome.BestCheckpointSeconds,
        outcome.OnFrontier,
        outcome.Fits,
        outcome.Why);

    /// <summary>The place of an outcome's way to pay in its machine's list.</summary>
    internal static int OptionOf(MachineOutcome outcome) => outcome.Machine.Purchase.IndexOf(outcome.Purchase);

    // Dividing by a one of many decimals takes trailing zeros off: 0.75, not 0.750000.
    internal static decimal Rounded(decimal cost) =>
        Math.Round(cost, CostDecimals, MidpointRounding.AwayFromZero) / 1.000000000000000000000000000m;
}

/// <summary>Which machine to take.</summary>
/// <param name="Machine">The cheapest machine that reaches the target chance; null where none does.</param>
/// <param name="Purchase">How it is paid for; null where no machine is.</param>
/// <param name="Option">The place, from 0, of that way to pay in the machine's list; null where no machine is.</param>
/// <param name="Sentence">The answer as a sentence; where no machine reaches the target it says which comes closest.</param>
public sealed record VerdictAnswer(string? Machine, string? Purchase, int? Option, string Sentence)
{
    /// <summary>Writes a verdict; null where there is none yet.</summary>
    public static VerdictAnswer? Of(Verdict verdict) => verdict.State switch
    {
        VerdictState.NotYet => null,
        VerdictState.Holds when verdict.Choice is { } choice => new(choice.Machine.Name, choice.Purchase.Kind, MachineAnswer.OptionOf(choice), verdict.Sentence),
        _ => new(null, null, null, verdict.Sentence),
    };
}
