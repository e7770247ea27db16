using System.Collections.Immutable;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>How costs are written.</summary>
internal static class AnsweredCost
{
    private const int Decimals = 6;

    // Dividing by a one of many decimals takes trailing zeros off: 0.75, not 0.750000.
    public static decimal Rounded(decimal cost) => Math.Round(cost, Decimals, MidpointRounding.AwayFromZero) / 1.000000000000000000000000000m;
}

/// <summary>What a what-if comes to, to be held against the answer itself.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Verdict">Which machine to take then; null without a window or without machines.</param>
/// <param name="Choice">The figures of that machine, or of the one that comes closest where none reaches the target; null where there is none.</param>
public sealed record WhatIfAnswer(string Name, VerdictAnswer? Verdict, MachineAnswer? Choice)
{
    /// <summary>Writes one.</summary>
    public static WhatIfAnswer Of(NamedWhatIf asked, PlanResult result) => new(
        asked.Name, VerdictAnswer.Of(result.Verdict), result.Verdict.Choice is { } choice ? MachineAnswer.Of(choice) : null);
}

/// <summary>What growth of the input does. Months are counted from now, 0 being this one.</summary>
/// <param name="Machines">The machines that hold the target today or are on the path, the shortest lasting first.</param>
/// <param name="Path">The cheapest sequence of machines through 36 months; empty without a window or machines.</param>
/// <param name="TotalCost">What the path costs, rounded to 6 decimals.</param>
/// <param name="Currency">Its currency; null where it is empty.</param>
/// <param name="MonthsWithout">Months of the path in which no machine holds.</param>
public sealed record GrowthPathAnswer(
    ImmutableArray<GrowthMachineAnswer> Machines, ImmutableArray<GrowthStretchAnswer> Path, decimal TotalCost, string? Currency, int MonthsWithout)
{
    /// <summary>Writes it.</summary>
    public static GrowthPathAnswer Of(GrowthOutlook outlook) => new(
        [.. outlook.Lanes.Select(lane => new GrowthMachineAnswer(lane.Outcome.Machine.Name, lane.MissedFrom, lane.Early, lane.Late))],
        [
            .. outlook.Path.Select(stretch => new GrowthStretchAnswer(
                stretch.From, stretch.Months, stretch.Outcome?.Machine.Name, stretch.Outcome?.Purchase.Kind,
                AnsweredCost.Rounded(stretch.Cost), AnsweredCost.Rounded(stretch.FirstMonth), AnsweredCost.Rounded(stretch.LastMonth))),
        ],
        AnsweredCost.Rounded(outlook.Total), outlook.Currency, outlook.MonthsWithout);
}

/// <summary>How long a machine lasts. A month that is null lies past the 120 looked at.</summary>
/// <param name="Machine">The machine's name.</param>
/// <param name="MissedFromMonth">The first month in which its chance is below the target; 0 where it is already.</param>
/// <param name="EarlyMonth">That month on the slow side: one of ten curves says so or earlier.</param>
/// <param name="LateMonth">That month on the fast side: one of ten curves says so or later.</param>
public sealed record GrowthMachineAnswer(string Machine, int? MissedFromMonth, int? EarlyMonth, int? LateMonth);

/// <summary>A stretch of the cheapest path.</summary>
/// <param name="FromMonth">Its first month.</param>
/// <param name="Months">How many months.</param>
/// <param name="Machine">The machine; null where none holds.</param>
/// <param name="Purchase">How it is paid for; null likewise.</param>
/// <param name="Cost">What those months cost, rounded to 6 decimals; 0 where none holds.</param>
/// <param name="FirstMonthCost">What the first of them costs.</param>
/// <param name="LastMonthCost">What the last of them costs.</param>
public sealed record GrowthStretchAnswer(int FromMonth, int Months, string? Machine, string? Purchase, decimal Cost, decimal FirstMonthCost, decimal LastMonthCost);

/// <summary>What the answer rests on: each input varied by 1.25 times either way.</summary>
/// <param name="Choice">The machine chosen today; null where none holds.</param>
/// <param name="BaseCost">What three years cost on the cheapest path as planned, rounded to 6 decimals.</param>
/// <param name="Currency">ISO 4217 code of the costs.</param>
/// <param name="Inputs">The inputs, the one that moves the cost most first.</param>
public sealed record SensitivityAnswer(string? Choice, decimal BaseCost, string Currency, ImmutableArray<InputEffectAnswer> Inputs)
{
    /// <summary>Writes it.</summary>
    public static SensitivityAnswer Of(Sensitivity sensitivity) => new(
        sensitivity.Choice, AnsweredCost.Rounded(sensitivity.BaseCost), sensitivity.Currency,
        [
            .. sensitivity.Inputs.Select(effect => new InputEffectAnswer(
                effect.Input, AnsweredCost.Rounded(effect.CostAtLess), AnsweredCost.Rounded(effect.CostAtMore), effect.TotalEffect,
                ThresholdAnswer.Of(effect.Below), ThresholdAnswer.Of(effect.Above))),
        ]);
}

/// <summary>What an input does to the answer.</summary>
/// <param name="Input">The input.</param>
/// <param name="CostAtLess">Three years with the input at 1/1.25 of what it is.</param>
/// <param name="CostAtMore">With it at 1.25 times.</param>
/// <param name="TotalEffect">Its total-effect index on that cost, all inputs varying over that range; 0 or more.</param>
/// <param name="Below">Where a smaller value moves the choice; null where nothing does down to half.</param>
/// <param name="Above">Where a larger one does; null where nothing does up to twice.</param>
public sealed record InputEffectAnswer(
    AnswerInput Input, decimal CostAtLess, decimal CostAtMore, double TotalEffect, ThresholdAnswer? Below, ThresholdAnswer? Above);

/// <summary>Where a change of an input moves the choice.</summary>
/// <param name="Factor">The input, times what it is.</param>
/// <param name="Machine">The machine chosen from there on; null where none holds.</param>
public sealed record ThresholdAnswer(double Factor, string? Machine)
{
    /// <summary>Writes one; null where there is none.</summary>
    public static ThresholdAnswer? Of(Threshold? threshold) => threshold is null ? null : new(threshold.Factor, threshold.Machine);
}
