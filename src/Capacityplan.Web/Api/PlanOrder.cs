using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>What a request asks for, in the calculation's terms.</summary>
internal sealed record PlanOrder
{
    /// <summary>The most timings of a job.</summary>
    public const int MostTimings = 100_000;

    /// <summary>The job and what is asked of it.</summary>
    public required Plan Plan { get; init; }

    /// <summary>The machines; null for those of the saved default catalogue.</summary>
    public required ImmutableArray<MachineType>? Machines { get; init; }

    /// <summary>Currency rates of the request, which hold before those of a saved catalogue.</summary>
    public required ImmutableArray<CurrencyRate> Rates { get; init; }

    /// <summary>True where all timings come from the text.</summary>
    public required bool TimingsAreText { get; init; }

    /// <summary>The what-ifs put to it.</summary>
    public required ImmutableArray<NamedWhatIf> WhatIfs { get; init; }

    /// <summary>True where the answer says what growth does.</summary>
    public required bool AsksForGrowth { get; init; }

    /// <summary>True where it says what it rests on.</summary>
    public required bool AsksForSensitivity { get; init; }

    /// <summary>How to work it out.</summary>
    public required PlannerSettings Settings { get; init; }

    /// <summary>Checks a request as a whole and puts it in the calculation's terms.</summary>
    /// <param name="request">The request as read; null where nothing was.</param>
    /// <param name="findings">Holds what was wrong with single fields, receives the rest.</param>
    /// <returns>The order; null where <paramref name="findings"/> holds an error.</returns>
    public static PlanOrder? From(ForecastRequest? request, RequestFindings findings)
    {
        if (request is null || findings.IsMalformed || findings.IsFull)
            return null;
        Plan? plan = request.Job is { } described ? JobOrder.PlanOf(described, JobOrder.Path, findings) : null;
        plan = plan is null ? null : ChangeOrder.Growing(plan, request.Growth, findings);
        ImmutableArray<NamedWhatIf> whatIfs = plan is null ? [] : ChangeOrder.WhatIfsOf(request.WhatIf, plan, findings);
        CheckMachines(request.Machines, findings);
        ImmutableArray<CurrencyRate> rates = PurchaseOrder.RatesOf(request.Rates, findings);
        if (findings.Errors.Count > 0 || request.Job is not { } job || plan is null)
            return null;

        return new PlanOrder
        {
            Plan = plan,
            WhatIfs = whatIfs,
            AsksForGrowth = request.Growth is not null,
            AsksForSensitivity = request.Sensitivity == true,
            Machines = request.Machines is { } machines ? [.. machines.OfType<MachineRequest>().Select(MachineOf)] : null,
            Rates = rates,
            Settings = SettingsOf(request),
            TimingsAreText = job.Timings is not { Count: > 0 },
        };
    }

    /// <summary>Checks what a job's description holds as a whole.</summary>
    internal static void CheckJob(JobRequest job, string path, RequestFindings findings)
    {
        // A description with an error in it is one all the same.
        bool described = job.Timings is { Count: > 0 } || !string.IsNullOrWhiteSpace(job.TimingsText) || job.WorkAndSpan is not null || job.Structure is not null || job.Graph is not null
            || ((string[])["timings", "timingsText", "workAndSpan", "structure", "graph"]).Any(field => findings.Concern($"{path}.{field}"));
        if (!described)
            findings.Error(path, "Nothing describes the job: give timings, timingsText, workAndSpan, structure or graph.");

        if (job.WorkAndSpan is { WorkSeconds: { } work, SpanSeconds: { } span } && span > work)
        {
            findings.Error(
                path + ".workAndSpan.spanSeconds",
                FormattableString.Invariant($"It is {span}, above the work of {work}; the longest chain is part of the work."));
        }
    }

    /// <summary>Notes what is wrong with a list of machines as a whole.</summary>
    internal static void CheckMachines(IReadOnlyList<MachineRequest?>? machines, RequestFindings findings)
    {
        var seen = new Dictionary<string, int>(StringComparer.OrdinalIgnoreCase);
        for (int index = 0; index < (machines?.Count ?? 0); index++)
        {
            if (machines![index] is not { } machine)
                continue;
            string path = FormattableString.Invariant($"machines[{index}]");
            if (machine.Name is { } name && !seen.TryAdd(name, index))
                findings.Error(path + ".name", FormattableString.Invariant($"machines[{seen[name]}] has this name already; give each its own."));
            for (int option = 0; option < (machine.Purchase?.Count ?? 0); option++)
            {
                if (machine.Purchase![option] is { } purchase)
                    PurchaseOrder.Check(purchase, FormattableString.Invariant($"{path}.purchase[{option}]"), findings);
            }
        }
    }

    /// <summary>The plan of a job without errors; how nights differ and who shares them is not in it yet.</summary>
    internal static Plan PlanOf(JobRequest job, ImmutableArray<Timing> timings, JobStructure? structure, GraphJob? graph)
    {
        var plan = new Plan(timings, job.WorkAndSpan is { } stated ? WorkAndSpanOf(stated) : null, structure, graph)
        {
            Name = job.Name ?? "",
            MeasuredOn = JobTimings.MeasuredOnOf(job),
            Window = job.Window is not { Seconds: { } seconds } window ? null
                : window.TargetChance is { } target ? new BatchWindow(seconds, target) : new BatchWindow(seconds),
            GrowthPerMonth = job.GrowthPerMonth ?? 0,
            MemoryGiB = job.MemoryGiB ?? 0,
        };
        return plan with
        {
            SecondThreadGain = job.SecondThreadGain ?? plan.SecondThreadGain,
            Noise = job.MachineNoise is { } noise ? new AssumedNoise(noise) : plan.Noise,
            RunsPerMonth = job.RunsPerMonth ?? plan.RunsPerMonth,
        };
    }

    private static WorkAndSpan WorkAndSpanOf(WorkAndSpanRequest stated)
    {
        var usual = new SchedulingCosts();
        return new WorkAndSpan(stated.WorkSeconds!.Value, stated.SpanSeconds!.Value, stated.Tasks!.Value, new SchedulingCosts
        {
            ForkSeconds = stated.ForkSeconds ?? usual.ForkSeconds,
            JoinSeconds = stated.JoinSeconds ?? usual.JoinSeconds,
            StealAttemptSeconds = stated.StealAttemptSeconds ?? usual.StealAttemptSeconds,
            StealSeconds = stated.StealSeconds ?? usual.StealSeconds,
        });
    }

    /// <summary>A machine that was checked.</summary>
    internal static MachineType MachineOf(MachineRequest machine) => new()
    {
        Name = machine.Name!,
        HardwareThreads = machine.HardwareThreads!.Value,
        PhysicalCores = machine.PhysicalCores!.Value,
        RelativeCoreSpeed = machine.RelativeCoreSpeed ?? 1,
        MemoryGiB = machine.MemoryGiB!.Value,
        MemoryBandwidthGBps = machine.MemoryBandwidthGBps,
        StartUpSeconds = machine.StartUpSeconds ?? 0,
        Purchase = [.. machine.Purchase!.OfType<PurchaseRequest>().Select(PurchaseOrder.Of)],
    };

    private static PlannerSettings SettingsOf(ForecastRequest request)
    {
        var usual = new PlannerSettings();
        return usual with
        {
            Seed = request.Seed ?? usual.Seed,
            BandShare = request.Band ?? usual.BandShare,
            Cores = request.Cores is { } cores ? [.. cores] : usual.Cores,
        };
    }
}
