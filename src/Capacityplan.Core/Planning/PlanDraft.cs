using System.Collections.Immutable;
using System.Text.Json.Serialization;

namespace Capacityplan.Core.Planning;

/// <summary>
/// A plan as its owner typed it: every field is the text of a blank, kept even where it cannot be understood, so that
/// nothing typed is ever lost. This is what is stored.
/// </summary>
public sealed record PlanDraft
{
    private readonly Sequence<PhaseDraft> _phases;
    private readonly Sequence<WhatIfDraft> _variants;
    private readonly Sequence<NightJobDraft> _nightJobs;

    /// <summary>Name of the job.</summary>
    public string Name { get; init; } = "";

    /// <summary>Whose job it is.</summary>
    public string Owner { get; init; } = "";

    /// <summary>Clock time the window opens, as "04:00".</summary>
    public string StartsAt { get; init; } = "";

    /// <summary>Clock time it must be done by, as "05:00", or the window's length, as "60 min".</summary>
    public string DoneBy { get; init; } = "";

    /// <summary>True where a time to be done by that is not after the start is meant for the next day.</summary>
    public bool EndsNextDay { get; init; }

    /// <summary>"May miss one night in ...".</summary>
    public string MissOneIn { get; init; } = "20";

    /// <summary>How often it runs, as "every night", "weekdays" or "30.4 a month".</summary>
    public string Runs { get; init; } = "every night";

    /// <summary>Memory needed, as "24 GiB".</summary>
    public string Memory { get; init; } = "";

    /// <summary>"One night in ... is a heavy night".</summary>
    public string HeavyOneIn { get; init; } = "";

    /// <summary>Input of a heavy night, times the usual.</summary>
    public string HeavyFactor { get; init; } = "";

    /// <summary>Growth of the input a month, as "1 %".</summary>
    public string Growth { get; init; } = "";

    /// <summary>Months from now and the input in each, as pasted; the rate carries on past its last month.</summary>
    public string GrowthTable { get; init; } = "";

    /// <summary>How the run time grows with the input.</summary>
    public WorkFormula WorkGrows { get; init; }

    /// <summary>Items of the planned input, where the run time grows by n log n.</summary>
    public string InputItems { get; init; } = "";

    /// <summary>Input sizes or run times of past nights, as pasted; they stand in for <see cref="HeavyOneIn"/>.</summary>
    public string PastNights { get; init; } = "";

    /// <summary>The timings, as pasted.</summary>
    public string TimingsText { get; init; } = "";

    /// <summary>Time of one run on the smallest core count, asked for where the paste holds only speedups or rates.</summary>
    public string BaseTime { get; init; } = "";

    /// <summary>What the machine measured on is called.</summary>
    public string MeasuredOnName { get; init; } = "";

    /// <summary>Its physical cores.</summary>
    public string MeasuredOnCores { get; init; } = "";

    /// <summary>Its relative core speed.</summary>
    public string MeasuredOnSpeed { get; init; } = "1";

    /// <summary>How noisy that machine is: "quiet", "usual", "noisy", or the scatter of single runs, as "3 %".</summary>
    public string MachineNoise { get; init; } = "usual";

    /// <summary>What a second hardware thread adds, as "25 %".</summary>
    public string SecondThreadGain { get; init; } = "25 %";

    /// <summary>Work T1, as "387 min".</summary>
    public string Work { get; init; } = "";

    /// <summary>Span T_inf, as "12.3 min".</summary>
    public string Span { get; init; } = "";

    /// <summary>Number of tasks.</summary>
    public string Tasks { get; init; } = "";

    /// <summary>Fork cost, as "50 ns".</summary>
    public string Fork { get; init; } = "50 ns";

    /// <summary>Join cost.</summary>
    public string Join { get; init; } = "50 ns";

    /// <summary>Mean interval between a thief's tries.</summary>
    public string StealAttempt { get; init; } = "0.2 us";

    /// <summary>Cost of a steal.</summary>
    public string Steal { get; init; } = "1 us";

    /// <summary>The job's phases in the order they run; none where it is not described so.</summary>
    /// <exception cref="ArgumentException">A phase is null.</exception>
    public ImmutableArray<PhaseDraft> Phases
    {
        get => _phases.Items;
        init => _phases = value.IsDefault || !value.Any(phase => phase is null)
            ? new Sequence<PhaseDraft>(value)
            : throw new ArgumentException("A phase is null.", nameof(Phases));
    }

    /// <summary>The other jobs of its night; none where it has the night to itself.</summary>
    /// <exception cref="ArgumentException">One is null.</exception>
    public ImmutableArray<NightJobDraft> NightJobs
    {
        get => _nightJobs.Items;
        init => _nightJobs = value.IsDefault || !value.Any(job => job is null)
            ? new Sequence<NightJobDraft>(value)
            : throw new ArgumentException("A job of the night is null.", nameof(NightJobs));
    }

    /// <summary>The jobs of the night its own job waits for, as in <see cref="NightJobDraft.After"/>.</summary>
    public string NightAfter { get; init; } = "";

    /// <summary>True where the jobs of the night may run side by side, sharing the cores; false where they run one after another.</summary>
    public bool NightSharesCores { get; init; } = true;

    /// <summary>The task graph, as pasted; empty where there is none, or one in a file.</summary>
    public string GraphText { get; init; } = "";

    /// <summary>The file that holds the task graph, by the key it is stored under; empty where there is none. It goes before <see cref="GraphText"/>.</summary>
    public string GraphFile { get; init; } = "";

    /// <summary>What that file is called.</summary>
    public string GraphFileName { get; init; } = "";

    /// <summary>Cores the task graph's schedule is looked at on; those of the chosen machine where it is empty.</summary>
    public string GraphCores { get; init; } = "";

    /// <summary>Workers whose runs are simulated in detail; those of the chosen machine where it is empty.</summary>
    public string SimulatedWorkers { get; init; } = "";

    /// <summary>Number of the phase, from 1, that the split size is looked at for; the one with the most work where it is empty.</summary>
    public string SplitPhase { get; init; } = "";

    /// <summary>What-if: input, times the base.</summary>
    public string WhatIfInput { get; init; } = "";

    /// <summary>What-if: the other levers. Its input is <see cref="WhatIfInput"/>, its name is empty.</summary>
    public WhatIfDraft WhatIfLevers { get; init => field = value ?? throw new ArgumentNullException(nameof(WhatIfLevers)); } = new();

    /// <summary>What-ifs that are kept, in the order they were.</summary>
    /// <exception cref="ArgumentException">One is null.</exception>
    public ImmutableArray<WhatIfDraft> Variants
    {
        get => _variants.Items;
        init => _variants = value.IsDefault || !value.Any(variant => variant is null)
            ? new Sequence<WhatIfDraft>(value)
            : throw new ArgumentException("A kept what-if is null.", nameof(Variants));
    }

    /// <summary>The what-if that is typed.</summary>
    [JsonIgnore]
    public WhatIfDraft WhatIf => WhatIfLevers with { Input = WhatIfInput, Name = "" };

    /// <summary>The draft with another what-if typed.</summary>
    public PlanDraft Asking(WhatIfDraft whatIf) => this with { WhatIfInput = whatIf.Input, WhatIfLevers = whatIf with { Input = "", Name = "" } };

    /// <summary>What-if: a core count to look at.</summary>
    public string WhatIfCores { get; init; } = "";

    /// <summary>The catalogue it is priced with; null for the default one.</summary>
    public Guid? CatalogueId { get; init; }
}
