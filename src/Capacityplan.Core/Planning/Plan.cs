using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Planning;

/// <summary>The machine the timings were measured on.</summary>
public sealed record MeasuredOn
{
    /// <summary>What its owner calls it; may be empty.</summary>
    public string Name { get; init; } = "";

    /// <summary>Its physical cores; 1 or more, null where not known.</summary>
    public int? PhysicalCores
    {
        get;
        init => field = value is { } known ? Require.AtLeast(known, 1, nameof(PhysicalCores)) : null;
    }

    /// <summary>Its hardware threads; 1 or more, null where not known.</summary>
    public int? HardwareThreads
    {
        get;
        init => field = value is { } known ? Require.AtLeast(known, 1, nameof(HardwareThreads)) : null;
    }

    /// <summary>Speed of one of its cores relative to the reference core (1); above 0.</summary>
    public double RelativeCoreSpeed { get; init => field = Require.Positive(value, nameof(RelativeCoreSpeed)); } = 1;

    /// <summary>What a stated core count is worth in physical cores: those past <see cref="PhysicalCores"/> are second threads.</summary>
    /// <param name="cores">Cores as stated; 1 or more.</param>
    /// <param name="secondThreadGain">What a second thread adds, as a share of a core; from 0 to 1.</param>
    public double CoresWorth(int cores, double secondThreadGain) =>
        PhysicalCores is { } physical && cores > physical ? physical + secondThreadGain * (cores - physical) : cores;
}

/// <summary>The batch window: how long a night's run may take, start-up included, and how often it must be met.</summary>
public sealed record BatchWindow
{
    /// <summary>States a window.</summary>
    /// <param name="seconds">From the moment the machine is asked for to the moment the job must be done; above 0.</param>
    /// <param name="targetChance">The share of nights that must end inside it; above 0 and below 1.</param>
    /// <param name="startsAt">Clock time it opens; null where only its length is known.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public BatchWindow(double seconds, double targetChance = 0.95, TimeOnly? startsAt = null)
    {
        Seconds = Require.Positive(seconds);
        TargetChance = targetChance > 0 && targetChance < 1
            ? targetChance
            : throw new ArgumentOutOfRangeException(nameof(targetChance), targetChance, "The target chance has to lie above 0 and below 1.");
        StartsAt = startsAt;
    }

    /// <summary>Length, seconds; above 0.</summary>
    public double Seconds { get; }

    /// <summary>The share of nights that must end inside it; above 0 and below 1.</summary>
    public double TargetChance { get; }

    /// <summary>Clock time it opens; null where only its length is known.</summary>
    public TimeOnly? StartsAt { get; }
}

/// <summary>
/// A job and what is asked of it. At least one description (timings, phases, a task graph, or work and span) is there; a window may be missing.
/// </summary>
public sealed record Plan
{
    /// <summary>States a plan.</summary>
    /// <param name="timings">Measured runs; may be empty where another description is given.</param>
    /// <param name="workAndSpan">Work and span at the speed of the reference core; null where not described so.</param>
    /// <param name="structure">The phases, likewise; null where not described so.</param>
    /// <param name="graph">The task graph, likewise; null where not described so.</param>
    /// <exception cref="ArgumentException">No description is given.</exception>
    public Plan(ImmutableArray<Timing> timings, WorkAndSpan? workAndSpan = null, JobStructure? structure = null, GraphJob? graph = null)
    {
        Timings = timings.IsDefault ? [] : timings;
        WorkAndSpan = workAndSpan;
        Structure = structure;
        Graph = graph;
        if (Timings.IsEmpty && workAndSpan is null && structure is null && graph is null)
            throw new ArgumentException("A job needs timings, phases, a task graph, or work and span.", nameof(timings));
    }

    /// <summary>The job's name; may be empty.</summary>
    public string Name { get; init; } = "";

    /// <summary>Measured runs, in the order given; may be empty where another description is given.</summary>
    public ImmutableArray<Timing> Timings { get; }

    /// <summary>Work and span on the machine measured on; null where not described so.</summary>
    public WorkAndSpan? WorkAndSpan { get; }

    /// <summary>The job's phases on the machine measured on; null where not described so.</summary>
    public JobStructure? Structure { get; }

    /// <summary>The job's task graph on the machine measured on; null where not described so. It carries the forecast where there are phases too.</summary>
    public GraphJob? Graph { get; }

    /// <summary>True where the timings are on two core counts at least, so that a curve can be fitted to them.</summary>
    public bool HasCurve => Timings.Select(timing => timing.Cores).Distinct().Skip(1).Any();

    /// <summary>What the timings bound where nothing but one core count describes the job; null where there is a curve to come.</summary>
    public TimingBounds? Bounds => WorkAndSpan is null && Structure is null && Graph is null
        ? TimingBounds.Of(Timings, cores => MeasuredOn.CoresWorth(cores, SecondThreadGain))
        : null;

    /// <summary>The machine the timings, or work and span, are for.</summary>
    public MeasuredOn MeasuredOn { get; init; } = new();

    /// <summary>What a second hardware thread adds, as a share of a core; from 0 to 1. 0.15 to 0.35 is common practice, no source.</summary>
    public double SecondThreadGain { get; init => field = Require.Within(value, 0, 1, nameof(SecondThreadGain)); } = 0.25;

    /// <summary>How noisy the machine measured on is taken to be before repeats and sittings say better.</summary>
    public AssumedNoise Noise { get; init; } = AssumedNoise.Usual;

    /// <summary>The batch window; null where none is given.</summary>
    public BatchWindow? Window { get; init; }

    /// <summary>How nights differ.</summary>
    public Nights Nights { get; init; } = Nights.Alike;

    /// <summary>The planned input, times the one the job is described for; above 0. A what-if sets it.</summary>
    public double InputFactor { get; init => field = Require.Positive(value, nameof(InputFactor)); } = 1;

    /// <summary>The most workers it runs on, however many threads a machine has; 1 or more, null for all of them. A what-if sets it.</summary>
    public int? MostWorkers
    {
        get;
        init => field = value is { } known ? Require.AtLeast(known, 1, nameof(MostWorkers)) : null;
    }

    /// <summary>All prices, times those of the catalogue; from 0 to 1,000. A what-if sets it.</summary>
    public double PriceFactor { get; init => field = Require.Within(value, 0, 1_000, nameof(PriceFactor)); } = 1;

    /// <summary>What a larger input makes of the run time.</summary>
    public InputWork InputWork { get; init => field = value ?? throw new ArgumentNullException(nameof(InputWork)); } = InputWork.Proportional;

    /// <summary>How the input grows.</summary>
    public ExpectedGrowth Growth { get; init => field = value ?? throw new ArgumentNullException(nameof(Growth)); } = new(0);

    /// <summary>Growth of the input a month, as a share (0.01 is 1 %), where no table says otherwise; above -1 and at most 10.</summary>
    public double GrowthPerMonth { get => Growth.PerMonth; init => Growth = new ExpectedGrowth(value); }

    /// <summary>Runs a month; from <see cref="Machines.PurchaseOption.LeastRuns"/> to <see cref="Machines.PurchaseOption.MostRuns"/>. 30.4 is every night.</summary>
    public double RunsPerMonth
    {
        get;
        init => field = Require.Within(value, Machines.PurchaseOption.LeastRuns, Machines.PurchaseOption.MostRuns, nameof(RunsPerMonth));
    } = 30.4;

    /// <summary>The jobs that share its night, window and machine; null where it has the night to itself.</summary>
    public SharedNight? SharedNight { get; init; }

    /// <summary>Memory the machine needs, GiB: the job's own, or the whole night's where other jobs share it.</summary>
    public double MemoryNeededGiB => SharedNight?.MemoryGiB(MemoryGiB) ?? MemoryGiB;

    /// <summary>Memory the job needs, GiB; 0 where it is not known.</summary>
    public double MemoryGiB { get; init => field = Require.NotNegative(value, nameof(MemoryGiB)); }
}
