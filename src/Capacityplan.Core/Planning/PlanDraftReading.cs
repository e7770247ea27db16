using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Planning;

/// <summary>What an answer waits for.</summary>
public enum PlanQuestion
{
    /// <summary>Nothing: there is a plan to work out.</summary>
    None,

    /// <summary>Timings, phases, a task graph, or work and span.</summary>
    Description,

    /// <summary>A run on a second core count.</summary>
    SecondCoreCount,

    /// <summary>The time of one run, since the paste holds speedups or rates only.</summary>
    BaseTime,

    /// <summary>Whether an end of the window that is not after its start is meant for the next day.</summary>
    NextDay,

    /// <summary>A blank or a paste that cannot be understood.</summary>
    Correction,

    /// <summary>The file of the task graph, which is still being read.</summary>
    GraphFile,

    /// <summary>The saved plans of its night, which are still being looked up.</summary>
    NightPlans,
}

/// <summary>What a plan's blanks and paste were understood as.</summary>
public sealed record PlanDraftReading
{
    /// <summary>What was read.</summary>
    public required PlanDraft Draft { get; init; }

    /// <summary>The plan; null where something is missing or cannot be understood.</summary>
    public required Plan? Plan { get; init; }

    /// <summary>The pasted timings.</summary>
    public required TimingsReading Timings { get; init; }

    /// <summary>The task graph; null where there is none, or its file has not been read yet.</summary>
    public DraftGraph? Graph { get; init; }

    /// <summary>What the blanks could not be understood as; each path is a name of <see cref="PlanDraft"/>, or of a phase in it, as "Phases[1].Units".</summary>
    public required ImmutableArray<Problem> Blanks { get; init; }

    /// <summary>What was doubted or left out of a phase's sample, with line and column in its text; stops nothing. Paths likewise.</summary>
    public ImmutableArray<Problem> Notes { get; init; } = [];

    /// <summary>What the answer waits for.</summary>
    public required PlanQuestion Question { get; init; }

    /// <summary>What the timings bound where they are on one core count and nothing else describes the job; null elsewhere.</summary>
    public TimingBounds? Bounds { get; init; }

    /// <summary>The answer line's words while it waits; null where there is a plan.</summary>
    public required Verdict? Waiting { get; init; }

    /// <summary>The core count of the what-if; null where none is asked for.</summary>
    public int? WhatIfCores { get; init; }

    /// <summary>Cores the task graph's schedule is looked at on; null for those of the chosen machine.</summary>
    public int? GraphCores { get; init; }

    /// <summary>Workers whose runs are simulated in detail; null for those of the chosen machine.</summary>
    public int? SimulatedWorkers { get; init; }

    /// <summary>Number of the phase, from 1, that the split size is looked at for; null for the one with the most work.</summary>
    public int? SplitPhase { get; init; }

    /// <summary>The what-if that is typed; null where none is asked for.</summary>
    public WhatIf? WhatIf { get; init; }

    /// <summary>Those that are kept.</summary>
    public ImmutableArray<NamedWhatIf> Variants { get; init; } = [];
}
