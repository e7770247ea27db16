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
/// <param name="Machines">Every machine and way to pay, cheapest run first; those in another currency than most, without a rate, after
/// these, those that do not fit last.</param>
/// <param name="Verdict">Which to take; null without a window or without machines.</param>
/// <param name="BreakEven">From how many runs a month another way to pay costs less; null where the verdict names no machine.</param>
/// <param name="Problems">What is doubtful or was left out, and where.</param>
public sealed record ForecastAnswer(
    int Seed,
    UnderstoodAnswer Understood,
    ScalingAnswer Forecast,
    ImmutableArray<MachineAnswer> Machines,
    VerdictAnswer? Verdict,
    BreakEvensAnswer? BreakEven,
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
        BreakEvensAnswer.Of(result.BreakEvens),
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
