using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>Works out what a request asks besides its answer, as the pages do it.</summary>
internal static class ChangeWork
{
    /// <summary>The answer with what is asked besides.</summary>
    /// <param name="order">What is asked.</param>
    /// <param name="catalogue">The machines.</param>
    /// <param name="result">What the plan comes to.</param>
    /// <param name="scaling">How its job scales.</param>
    /// <param name="findings">What was odd about the request; receives what cannot be answered.</param>
    /// <param name="cancellation">Stops the work.</param>
    public static ForecastAnswer Add(
        PlanOrder order, Catalogue catalogue, PlanResult result, ScalingForecast scaling, RequestFindings findings, CancellationToken cancellation)
    {
        PlannerSettings asked = order.Settings with { Cores = [] };
        WhatIfAnswer[] whatIfs =
        [
            .. order.WhatIfs.Select(whatIf => WhatIfAnswer.Of(whatIf, whatIf.Levers.Evaluate(order.Plan, catalogue, asked, scaling, cancellation))),
        ];
        GrowthOutlook? growth = order.AsksForGrowth ? GrowthOutlook.Of(result, scaling, cancellation) : null;
        Sensitivity? sensitivity = order.AsksForSensitivity ? Sensitivity.Of(result, scaling, cancellation: cancellation) : null;
        if (order.AsksForSensitivity && sensitivity is null)
            findings.Warn("sensitivity", "Without a window and a machine that fits there is no choice to change.");
        return ForecastAnswer.Of(result, findings.Problems) with
        {
            Night = scaling is NightScaling night ? NightRunAnswer.Of(result, night) : null,
            WhatIf = whatIfs.Length > 0 ? whatIfs : null,
            Growth = growth is null ? null : GrowthPathAnswer.Of(growth),
            Sensitivity = sensitivity is null ? null : SensitivityAnswer.Of(sensitivity),
        };
    }

    /// <summary>Says what of a request cannot be answered where the job is known on one core count only.</summary>
    public static void LeaveOut(PlanOrder order, RequestFindings findings)
    {
        (bool Asked, string Path)[] parts =
        [
            (order.Plan.SharedNight is not null, "job.night"), (!order.WhatIfs.IsEmpty, "whatIf"), (order.AsksForGrowth, "growth"), (order.AsksForSensitivity, "sensitivity"),
        ];
        foreach ((bool isAsked, string path) in parts)
        {
            if (isAsked)
                findings.Warn(path, "It needs a forecast, and one core count gives none; it was left out.");
        }
    }
}
