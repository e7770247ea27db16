using System.Collections.Immutable;
using System.Text.Json.Serialization;
using Capacityplan.Core;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>What a job comes to. Times are seconds.</summary>
/// <param name="Seed">The seed used.</param>
/// <param name="Understood">What was understood of the request.</param>
/// <param name="Forecast">How the job scales.</param>
/// <param name="Machines">Every machine and way to pay, cheapest run first; those in another currency than most after
/// these, those that do not fit last.</param>
/// <param name="Verdict">Which to take; null without a window or without machines.</param>
/// <param name="Problems">What is doubtful or was left out, and where.</param>
public sealed record ForecastAnswer(
    int Seed,
    UnderstoodAnswer Understood,
    ScalingAnswer Forecast,
    ImmutableArray<MachineAnswer> Machines,
    VerdictAnswer? Verdict,
    ImmutableArray<ProblemAnswer> Problems)
{
    /// <summary>The jobs of the night on the machine chosen, the request's own first; there only where others share its night.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<NightRunAnswer>? Night { get; init; }

    /// <summary>What the what-ifs come to, in their order; there only where some are asked.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<WhatIfAnswer>? WhatIf { get; init; }

    /// <summary>What growth does; there only where it is asked.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public GrowthPathAnswer? Growth { get; init; }

    /// <summary>What the answer rests on; there only where it is asked, and there are a window and machines that fit.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public SensitivityAnswer? Sensitivity { get; init; }

    /// <summary>Writes an answer.</summary>
    /// <param name="result">What the plan came to.</param>
    /// <param name="problems">What was odd about the request, told before what is doubtful about the answer.</param>
    public static ForecastAnswer Of(PlanResult result, IEnumerable<Problem> problems) => new(
        result.Seed,
        new UnderstoodAnswer([.. result.Plan.Timings.Select(TimingAnswer.Of)]),
        ScalingAnswer.Of(result),
        [.. result.Machines.Select(MachineAnswer.Of)],
        VerdictAnswer.Of(result.Verdict),
        [.. problems.Concat(result.Problems).Select(ProblemAnswer.Of)]);

    /// <summary>Writes what timings on one core count bound.</summary>
    /// <param name="plan">The job.</param>
    /// <param name="bounds">The bounds.</param>
    /// <param name="settings">What is asked.</param>
    /// <param name="problems">What was odd about the request.</param>
    public static ForecastAnswer Of(Plan plan, TimingBounds bounds, PlannerSettings settings, IEnumerable<Problem> problems) => new(
        settings.Seed,
        new UnderstoodAnswer([.. plan.Timings.Select(TimingAnswer.Of)]),
        ScalingAnswer.Of(bounds, settings.Cores),
        [],
        null,
        [.. problems.Select(ProblemAnswer.Of)]);
}

/// <summary>What was understood of a request.</summary>
/// <param name="Timings">The timings used, repeats included: those of timings, then those read from timingsText in its order.</param>
public sealed record UnderstoodAnswer(ImmutableArray<TimingAnswer> Timings);

/// <summary>A timing as it was understood.</summary>
/// <param name="Cores">Cores it ran on.</param>
/// <param name="Seconds">Wall time, seconds.</param>
public sealed record TimingAnswer(int Cores, double Seconds)
{
    /// <summary>The sitting it was measured in; not there where none was given.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public int? Sitting { get; init; }

    /// <summary>Input size relative to the planned run; not there where it is 1.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public double? Size { get; init; }

    /// <summary>Writes a timing.</summary>
    public static TimingAnswer Of(Timing timing) =>
        new(timing.Cores, timing.Seconds) { Sitting = timing.Sitting, Size = timing.Size == 1 ? null : timing.Size };
}

/// <summary>A machine, paid for in one way, for the job.</summary>
/// <param name="Machine">The machine's name.</param>
/// <param name="Purchase">The kind of purchase.</param>
/// <param name="RunSeconds">Run time on an ordinary night, seconds.</param>
/// <param name="StartToFinishSeconds">Start-up and run on an ordinary night, seconds.</param>
/// <param name="ChanceInWindow">Chance of ending inside the window, start-up and differing nights counted; null without a window.</param>
/// <param name="CostPerRun">Cost of a run at the median, start-up included, in the currency; rounded to 6 decimals.</param>
/// <param name="CostPerMonth">Runs a month times the cost of a run before rounding, in the currency; rounded to 6 decimals.</param>
/// <param name="Currency">ISO 4217 code of the costs.</param>
/// <param name="OnFrontier">True where no machine that fits, priced in the same currency, is at least as fast and as cheap and better in one of the two.</param>
/// <param name="Fits">False where the job needs more memory than the machine has.</param>
/// <param name="Why">Why it is chosen, or why not, in one sentence; null without a window.</param>
public sealed record MachineAnswer(
    string Machine,
    string Purchase,
    Band RunSeconds,
    Band StartToFinishSeconds,
    double? ChanceInWindow,
    decimal CostPerRun,
    decimal CostPerMonth,
    string Currency,
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
        outcome.RunSeconds,
        outcome.StartToFinishSeconds,
        outcome.ChanceInWindow,
        Rounded(outcome.CostPerRun),
        Rounded(outcome.CostPerMonth),
        outcome.Purchase.Currency,
        outcome.OnFrontier,
        outcome.Fits,
        outcome.Why);

    // Dividing by a one of many decimals takes trailing zeros off: 0.75, not 0.750000.
    private static decimal Rounded(decimal cost) =>
        Math.Round(cost, CostDecimals, MidpointRounding.AwayFromZero) / 1.000000000000000000000000000m;
}

/// <summary>Which machine to take.</summary>
/// <param name="Machine">The cheapest machine that reaches the target chance; null where none does.</param>
/// <param name="Purchase">How it is paid for; null where no machine is.</param>
/// <param name="Sentence">The answer as a sentence; where no machine reaches the target it says which comes closest.</param>
public sealed record VerdictAnswer(string? Machine, string? Purchase, string Sentence)
{
    /// <summary>Writes a verdict; null where there is none yet.</summary>
    public static VerdictAnswer? Of(Verdict verdict) => verdict.State switch
    {
        VerdictState.NotYet => null,
        VerdictState.Holds => new(verdict.Choice?.Machine.Name, verdict.Choice?.Purchase.Kind, verdict.Sentence),
        _ => new(null, null, verdict.Sentence),
    };
}

/// <summary>Something doubtful, or left out of the request.</summary>
/// <param name="Severity">"note": worth knowing; "warning": something was left out or is doubted.</param>
/// <param name="Path">The field it concerns, such as "job.timingsText"; null where it concerns no single one.</param>
/// <param name="Line">Line in that field's text, from 1; null where there is no text.</param>
/// <param name="Column">Column in that line, in UTF-16 code units from 1; null where there is no text.</param>
/// <param name="Message">What it is.</param>
public sealed record ProblemAnswer(ProblemSeverity Severity, string? Path, int? Line, int? Column, string Message)
{
    /// <summary>Writes a problem.</summary>
    public static ProblemAnswer Of(Problem problem) => new(problem.Severity, problem.Path, problem.Line, problem.Column, problem.Message);
}
