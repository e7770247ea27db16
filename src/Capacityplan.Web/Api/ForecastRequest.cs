using System.ComponentModel;
using System.ComponentModel.DataAnnotations;
using Capacityplan.Core.Fitting;

namespace Capacityplan.Web.Api;

// Every field may be missing: a request has to be able to hold nonsense, so that all of it can be pointed at. The
// attributes are both what is checked and what the API's document says.

/// <summary>A job, what is asked of it, and the machines to choose from.</summary>
public sealed record ForecastRequest
{
    /// <summary>The job.</summary>
    [Required]
    public JobRequest? Job { get; init; }

    /// <summary>Core counts to forecast, in the order wanted; the default is 1, 2, 4, 8, 16, 32, 64, 128.</summary>
    [MaxLength(1_000)]
    [Range(1, 1_000_000)]
    public IReadOnlyList<int>? Cores { get; init; }

    /// <summary>The central share of the next run's time that a band holds.</summary>
    [Range(0, 0.999_999, MinimumIsExclusive = true)]
    [DefaultValue(0.8)]
    public double? Band { get; init; }

    /// <summary>The machines to choose from, their names all different; the default is the saved default catalogue.</summary>
    [MaxLength(2_000)]
    public IReadOnlyList<MachineRequest?>? Machines { get; init; }

    /// <summary>What-ifs, each answered beside the base.</summary>
    [MaxLength(WhatIfRequest.Most)]
    public IReadOnlyList<WhatIfRequest?>? WhatIf { get; init; }

    /// <summary>How the input grows; where it is there, the answer says what growth does. An empty object asks with the job's growthPerMonth.</summary>
    public GrowthRequest? Growth { get; init; }

    /// <summary>True to say what the answer rests on, and by how much each input must change before another machine wins.</summary>
    [DefaultValue(false)]
    public bool? Sensitivity { get; init; }

    /// <summary>Conversions of one currency into another, so that machines priced in several can be compared. They hold before
    /// those of the saved catalogue; of two for the same currencies the later one holds.</summary>
    [MaxLength(100)]
    public IReadOnlyList<RateRequest?>? Rates { get; init; }

    /// <summary>Seed of everything random; the same request and seed give the same answer, byte for byte.</summary>
    [DefaultValue(1)]
    public int? Seed { get; init; }
}

/// <summary>A job. At least one of timings, timingsText, workAndSpan, structure and graph describes it; they combine.</summary>
public sealed record JobRequest
{
    /// <summary>Its name; it only labels.</summary>
    [MaxLength(200)]
    public string? Name { get; init; }

    /// <summary>Measured runs, repeats included; with those of timingsText at most 100,000. On one
    /// core count alone, and without workAndSpan, structure or graph, they give bounds and no forecast; they may be on 1,000
    /// different ones.</summary>
    [MaxLength(PlanOrder.MostTimings)]
    public IReadOnlyList<TimingRequest?>? Timings { get; init; }

    /// <summary>Measured runs as text in whatever shape people paste: a table, a spreadsheet's cells, lines such as
    /// "8 cores: 12.4 s". Its runs come after those of timings. What was read is repeated in understood.</summary>
    [MaxLength(2_000_000)]
    public string? TimingsText { get; init; }

    /// <summary>Run time on the smallest core count of timingsText, seconds; needed only where that text holds nothing but
    /// speedups or rates.</summary>
    [Range(1e-12, 1e9)]
    public double? BaseSeconds { get; init; }

    /// <summary>Work and span. Where there is a curve of timings too, or phases, these carry the forecast and the two are compared.</summary>
    public WorkAndSpanRequest? WorkAndSpan { get; init; }

    /// <summary>The job's phases. Where there are timings too, these calibrate the phases, as far as the phases explain them.</summary>
    public StructureRequest? Structure { get; init; }

    /// <summary>The job's task graph. Where there are timings too, these calibrate it, as far as the tasks explain them; it goes before phases.</summary>
    public GraphRequest? Graph { get; init; }

    /// <summary>The machine that the timings, phases, or work and span, are for.</summary>
    public MeasuredOnRequest? MeasuredOn { get; init; }

    /// <summary>What a second hardware thread on a core adds, as a share of a core; 0.15 to 0.35 is usual.</summary>
    [Range(0.0, 1.0)]
    [DefaultValue(0.25)]
    public double? SecondThreadGain { get; init; }

    /// <summary>How noisy the machine measured on is taken to be before repeats and sittings say better: the standard deviation of
    /// the natural logarithm of single runs. About 0.015 for a machine with nothing else to do, 0.12 for a shared one.</summary>
    [Range(AssumedNoise.Least, AssumedNoise.Most)]
    [DefaultValue(TimingNoise.AssumedRunToRun)]
    public double? MachineNoise { get; init; }

    /// <summary>The batch window; without one there is no chance and no verdict.</summary>
    public WindowRequest? Window { get; init; }

    /// <summary>How nights differ; the default is that all are alike.</summary>
    public NightsRequest? Nights { get; init; }

    /// <summary>What past nights had to do; they stand in for nights.</summary>
    public PastNightsRequest? PastNights { get; init; }

    /// <summary>Other jobs that share its night.</summary>
    public NightRequest? Night { get; init; }

    /// <summary>Growth of the input a month, as a share: 0.01 is 1 %.</summary>
    [Range(-1.0, 10.0, MinimumIsExclusive = true)]
    [DefaultValue(0.0)]
    public double? GrowthPerMonth { get; init; }

    /// <summary>Runs a month; 30.4 is every night.</summary>
    [Range(0.001, 100_000)]
    [DefaultValue(30.4)]
    public double? RunsPerMonth { get; init; }

    /// <summary>Memory the job needs, GiB; at 0 any machine has enough.</summary>
    [Range(0.0, 1e9)]
    [DefaultValue(0.0)]
    public double? MemoryGiB { get; init; }
}

/// <summary>A measured run.</summary>
public sealed record TimingRequest
{
    /// <summary>Number of cores (workers, one to a core) it ran on.</summary>
    [Required]
    [Range(1, 1_000_000)]
    public int? Cores { get; init; }

    /// <summary>Wall time, seconds.</summary>
    [Required]
    [Range(1e-12, 1e9)]
    public double? Seconds { get; init; }

    /// <summary>The sitting it was measured in: rows of one core count with the same number were measured in one go and share
    /// that sitting's error. Where it is not given, all rows of a core count are one sitting.</summary>
    public int? Sitting { get; init; }

    /// <summary>Input size relative to the planned run. Runs of several sizes are fitted together, and how the run time grows
    /// with the input follows from them.</summary>
    [Range(1e-6, 1e6)]
    [DefaultValue(1.0)]
    public double? Size { get; init; }
}

/// <summary>A job known by its work and span.</summary>
public sealed record WorkAndSpanRequest
{
    /// <summary>Work T1: seconds of useful work on one core.</summary>
    [Required]
    [Range(1e-12, 1e9)]
    public double? WorkSeconds { get; init; }

    /// <summary>Span: seconds of the longest chain that must run in order; not above the work.</summary>
    [Required]
    [Range(0.0, 1e9)]
    public double? SpanSeconds { get; init; }

    /// <summary>Number of leaf tasks the work is split into.</summary>
    [Required]
    [Range(1.0, 1e12)]
    public long? Tasks { get; init; }

    /// <summary>Seconds to split a range and push one half on the worker's own deque.</summary>
    [Range(0.0, 1_000.0)]
    [DefaultValue(5e-8)]
    public double? ForkSeconds { get; init; }

    /// <summary>Seconds to join two finished halves.</summary>
    [Range(0.0, 1_000.0)]
    [DefaultValue(5e-8)]
    public double? JoinSeconds { get; init; }

    /// <summary>Mean seconds between a thief's tries.</summary>
    [Range(0.0, 1_000.0)]
    [DefaultValue(2e-7)]
    public double? StealAttemptSeconds { get; init; }

    /// <summary>Seconds a thief is busy with a steal that succeeded.</summary>
    [Range(0.0, 1_000.0)]
    [DefaultValue(1e-6)]
    public double? StealSeconds { get; init; }
}

/// <summary>The machine that the timings, phases, or work and span, are for.</summary>
public sealed record MeasuredOnRequest
{
    /// <summary>Its hardware threads.</summary>
    [Range(1, 1_000_000)]
    public int? HardwareThreads { get; init; }

    /// <summary>Its physical cores; a run on more cores than these used second hardware threads. The default is that every
    /// core of a timing was a physical one.</summary>
    [Range(1, 1_000_000)]
    public int? PhysicalCores { get; init; }

    /// <summary>Speed of one of its cores relative to the reference core.</summary>
    [Range(0.01, 100.0)]
    [DefaultValue(1.0)]
    public double? RelativeCoreSpeed { get; init; }
}

/// <summary>The batch window.</summary>
public sealed record WindowRequest
{
    /// <summary>Seconds from asking for the machine until the job must be done; the machine's start-up counts.</summary>
    [Required]
    [Range(0, 1e9, MinimumIsExclusive = true)]
    public double? Seconds { get; init; }

    /// <summary>The share of nights that must end inside it.</summary>
    [Range(0.0, 1.0, MinimumIsExclusive = true, MaximumIsExclusive = true)]
    [DefaultValue(0.95)]
    public double? TargetChance { get; init; }
}

/// <summary>How nights differ.</summary>
public sealed record NightsRequest
{
    /// <summary>Share of heavy nights.</summary>
    [Required]
    [Range(0.0, 1.0)]
    public double? HeavyShare { get; init; }

    /// <summary>Input of a heavy night, times the usual.</summary>
    [Required]
    [Range(1e-6, 1e6)]
    public double? HeavyFactor { get; init; }
}

/// <summary>A kind of machine and the ways to pay for it.</summary>
public sealed record MachineRequest
{
    /// <summary>Its name; no other machine has it, capital letters or not.</summary>
    [Required]
    [MaxLength(200)]
    public string? Name { get; init; }

    /// <summary>Hardware threads it shows to its operating system.</summary>
    [Required]
    [Range(1, 1_000_000)]
    public int? HardwareThreads { get; init; }

    /// <summary>Physical cores behind those threads; more cores than threads count as that many threads.</summary>
    [Required]
    [Range(1, 1_000_000)]
    public int? PhysicalCores { get; init; }

    /// <summary>Speed of one core relative to the reference core.</summary>
    [Range(0.01, 100.0)]
    [DefaultValue(1.0)]
    public double? RelativeCoreSpeed { get; init; }

    /// <summary>Memory, GiB.</summary>
    [Required]
    [Range(0, 1e9, MinimumIsExclusive = true)]
    public double? MemoryGiB { get; init; }

    /// <summary>Memory bandwidth, GB/s; the default is that it is not known.</summary>
    [Range(0, 1e9, MinimumIsExclusive = true)]
    public double? MemoryBandwidthGBps { get; init; }

    /// <summary>Seconds from asking for the machine until the job starts. They are paid for, and count against the window.</summary>
    [Range(0.0, 1e9)]
    [DefaultValue(0.0)]
    public double? StartUpSeconds { get; init; }

    /// <summary>The ways to pay for it.</summary>
    [Required]
    [MinLength(1)]
    [MaxLength(20)]
    public IReadOnlyList<PurchaseRequest?>? Purchase { get; init; }
}
