using System.Collections.Immutable;

namespace Capacityplan.Core.Planning;

/// <summary>A saved plan that a night refers to, as it is stored now.</summary>
public sealed record NightPlan
{
    private NightPlan(string name, PlanDraftReading? reading, bool isUnreadable) => (Name, Reading, IsUnreadable) = (name, reading, isUnreadable);

    /// <summary>There is no such plan, or it is deleted.</summary>
    public static NightPlan Gone { get; } = new("", null, isUnreadable: false);

    /// <summary>What it is called; empty where it has no name or is gone.</summary>
    public string Name { get; }

    /// <summary>What its description was understood as; null where it is gone or cannot be read.</summary>
    public PlanDraftReading? Reading { get; }

    /// <summary>True where what is stored cannot be read.</summary>
    public bool IsUnreadable { get; }

    /// <summary>True where it has a night of its own, which is not followed.</summary>
    public bool HasNight => Reading?.Draft.NightJobs.IsEmpty == false;

    /// <summary>A plan whose stored text cannot be read.</summary>
    public static NightPlan Unreadable(string name) => new(name, null, isUnreadable: true);

    /// <summary>A plan: how its job is described. Its window, its nights, its growth and its what-ifs do not count here, so that nothing
    /// in them keeps the night waiting.</summary>
    /// <param name="draft">What its owner typed.</param>
    /// <param name="graph">Its task graph, where that stands in a file and has been read.</param>
    public static NightPlan Of(PlanDraft draft, DraftGraph? graph = null)
    {
        ArgumentNullException.ThrowIfNull(draft);
        var usual = new PlanDraft();
        PlanDraft described = draft with
        {
            StartsAt = "",
            DoneBy = "",
            MissOneIn = usual.MissOneIn,
            Runs = usual.Runs,
            HeavyOneIn = "",
            HeavyFactor = "",
            PastNights = "",
            Growth = "",
            GrowthTable = "",
            InputItems = "",
            NightJobs = [],
            NightAfter = "",
            WhatIfInput = "",
            WhatIfLevers = new(),
            Variants = [],
            WhatIfCores = "",
            GraphCores = "",
            SimulatedWorkers = "",
            SplitPhase = "",
        };
        return new NightPlan(draft.Name, PlanDraftReader.Read(described, graph: graph) with { Draft = draft }, isUnreadable: false);
    }
}

/// <summary>The saved plans that a plan's night refers to.</summary>
/// <param name="Own">The plan's own key; null where it is not stored.</param>
/// <param name="Plans">By key; one that is not in it has not been looked up yet.</param>
public sealed record NightPlans(Guid? Own, ImmutableDictionary<Guid, NightPlan> Plans)
{
    /// <summary>None looked up.</summary>
    public static NightPlans None { get; } = new(null, ImmutableDictionary<Guid, NightPlan>.Empty);
}
