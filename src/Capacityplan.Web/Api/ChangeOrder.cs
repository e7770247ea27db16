using System.Collections.Immutable;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>Puts what a request asks about change in the calculation's terms: past nights, growth, what-ifs.</summary>
internal static class ChangeOrder
{
    private const string GrowthPath = "growth";

    /// <summary>How nights differ.</summary>
    /// <param name="job">The job.</param>
    /// <param name="path">Where it stands in the request.</param>
    /// <param name="findings">Receives what is wrong.</param>
    public static Nights NightsOf(JobRequest job, string path, RequestFindings findings)
    {
        Nights stated = job.Nights is { HeavyShare: { } share, HeavyFactor: { } factor } ? new Nights(share, factor) : Nights.Alike;
        if (job.PastNights is not { } past)
            return stated;
        path += ".pastNights";
        if (findings.Concern(path))
            return stated;
        if (past.Sizes is { Count: > 0 } && past.RunSeconds is { Count: > 0 })
        {
            findings.Error(path, "It holds sizes and run times. Give one of them: how nights differ is read from it.");
            return stated;
        }

        if ((past.Sizes is { Count: > 0 } ? past.Sizes : past.RunSeconds) is not { Count: > 0 } values)
        {
            findings.Error(path, "It holds no night. Give sizes or runSeconds, a number for each night.");
            return stated;
        }

        if (job.Nights is not null)
            findings.Warn(path[..^".pastNights".Length] + ".nights", "Past nights say how nights differ; it was left out.");
        return Nights.OfPast(values, areRunTimes: past.Sizes is not { Count: > 0 });
    }

    /// <summary>The plan with the growth a request asks about.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="request">The growth; null where it is not asked about.</param>
    /// <param name="findings">Receives what is wrong.</param>
    public static Plan Growing(Plan plan, GrowthRequest? request, RequestFindings findings)
    {
        if (request is null || findings.Concern(GrowthPath))
            return plan;
        var points = ImmutableArray.CreateBuilder<GrowthPoint>();
        foreach (GrowthPointRequest? row in request.Table ?? [])
        {
            if (row is not { Month: { } month, Input: { } input })
                continue;
            if (points.Count > 0 && month <= points[^1].Month)
            {
                findings.Error(
                    FormattableString.Invariant($"{GrowthPath}.table[{points.Count}].month"),
                    FormattableString.Invariant($"It is {month}, not after month {points[^1].Month}; the months have to ascend."));
                return plan;
            }

            points.Add(new GrowthPoint(month, input));
        }

        if (request.Items is not null && request.Formula != "nLogN")
            findings.Warn(GrowthPath + ".items", "Only nLogN asks for it; it was left out.");
        return plan with
        {
            Growth = new ExpectedGrowth(request.PerMonth ?? plan.GrowthPerMonth, points.ToImmutable()),
            InputWork = new InputWork
            {
                Formula = request.Formula switch { "nLogN" => WorkFormula.TimesLogarithm, "nSquared" => WorkFormula.Square, _ => WorkFormula.Proportional },
                Items = request.Items ?? InputWork.UsualItems,
            },
        };
    }

    /// <summary>The what-ifs of a request.</summary>
    /// <param name="requests">The what-ifs; null for none.</param>
    /// <param name="plan">What they are put to.</param>
    /// <param name="findings">Receives what is odd about them.</param>
    public static ImmutableArray<NamedWhatIf> WhatIfsOf(IReadOnlyList<WhatIfRequest?>? requests, Plan plan, RequestFindings findings)
    {
        var asked = ImmutableArray.CreateBuilder<NamedWhatIf>();
        foreach ((int index, WhatIfRequest? request) in (requests ?? []).Index())
        {
            if (request is null)
                continue;
            if (request.Grain is not (null or 1) && !WhatIf.CanSplit(plan))
                findings.Warn(FormattableString.Invariant($"whatIf[{index}].grain"), "The job does not say enough of its tasks for another split size to mean something; it was left out.");
            asked.Add(new NamedWhatIf(request.Name ?? "", new WhatIf
            {
                Input = request.Input ?? 1,
                Work = request.Work ?? 1,
                Span = request.Span ?? 1,
                Grain = request.Grain ?? 1,
                Overhead = request.Overhead ?? 1,
                MostWorkers = request.CoresAtMost,
                WindowSeconds = request.WindowSeconds,
                Price = request.Price ?? 1,
            }));
        }

        return asked.ToImmutable();
    }
}
