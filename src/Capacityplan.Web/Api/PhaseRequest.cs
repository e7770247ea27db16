using System.ComponentModel;
using System.ComponentModel.DataAnnotations;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>A job described by what it consists of.</summary>
public sealed record StructureRequest
{
    /// <summary>The phases in the order they run, one after another; together at most 1e12 seconds of work.</summary>
    [Required]
    [MinLength(1)]
    [MaxLength(PhaseLimits.MostPhases)]
    public IReadOnlyList<PhaseRequest?>? Phases { get; init; }
}

/// <summary>A phase of a job, at the speed of the machine measured on.</summary>
public sealed record PhaseRequest
{
    /// <summary>Its name; it only labels.</summary>
    [MaxLength(200)]
    public string? Name { get; init; }

    /// <summary>"serial": one worker runs it while the others are idle; "parallel": its units are split over the workers.</summary>
    [Required]
    public string? Kind { get; init; }

    /// <summary>Length of a serial phase, seconds; it needs one.</summary>
    [Range(0, PhaseLimits.MostSeconds)]
    public double? Seconds { get; init; }

    /// <summary>Units of a parallel phase; it needs them.</summary>
    [Range(1.0, PhaseLimits.MostUnits)]
    public long? Units { get; init; }

    /// <summary>How long a unit takes; a parallel phase needs it.</summary>
    public UnitSecondsRequest? UnitSeconds { get; init; }

    /// <summary>Most units that are run without splitting further.</summary>
    [Range(1.0, PhaseLimits.MostUnits)]
    [DefaultValue(1L)]
    public long? Grain { get; init; }

    /// <summary>Seconds to split a range and push one half on the worker's own deque.</summary>
    [Range(0, PhaseLimits.MostCostSeconds)]
    [DefaultValue(5e-8)]
    public double? ForkSeconds { get; init; }

    /// <summary>Seconds to join two finished halves.</summary>
    [Range(0, PhaseLimits.MostCostSeconds)]
    [DefaultValue(5e-8)]
    public double? JoinSeconds { get; init; }

    /// <summary>Seconds a join takes besides for every unit of the joined range.</summary>
    [Range(0, PhaseLimits.MostCostSeconds)]
    [DefaultValue(0.0)]
    public double? CombineSecondsPerUnit { get; init; }

    /// <summary>Mean seconds between a thief's tries.</summary>
    [Range(PhaseLimits.LeastTrySeconds, PhaseLimits.MostCostSeconds)]
    [DefaultValue(2e-7)]
    public double? StealAttemptSeconds { get; init; }

    /// <summary>Seconds a thief is busy with a steal that succeeded.</summary>
    [Range(0, PhaseLimits.MostCostSeconds)]
    [DefaultValue(1e-6)]
    public double? StealSeconds { get; init; }

    /// <summary>Mean seconds until a worker other than the first is awake at the start of the phase.</summary>
    [Range(0, PhaseLimits.MostCostSeconds)]
    [DefaultValue(0.0)]
    public double? WakeSeconds { get; init; }

    /// <summary>Seconds a thief's cold cache costs for every unit of a stolen range, up to refillUnits of them.</summary>
    [Range(0, PhaseLimits.MostCostSeconds)]
    [DefaultValue(0.0)]
    public double? RefillSecondsPerUnit { get; init; }

    /// <summary>Units that fill a cache.</summary>
    [Range(0.0, PhaseLimits.MostUnits)]
    [DefaultValue(0L)]
    public long? RefillUnits { get; init; }

    /// <summary>Bytes of memory traffic of a unit.</summary>
    [Range(0, PhaseLimits.MostBytes)]
    [DefaultValue(0.0)]
    public double? BytesPerUnit { get; init; }
}

/// <summary>
/// How long a unit takes, seconds. Each distribution needs its own fields: constant value; uniform min, max; exponential mean;
/// gamma shape, scale; lognormal mu, sigma; boundedPareto alpha, min, max; sample values.
/// </summary>
public sealed record UnitSecondsRequest
{
    /// <summary>The most values of a sample.</summary>
    public const int MostValues = 1_000_000;

    /// <summary>"constant", "uniform", "exponential", "gamma", "lognormal", "boundedPareto" or "sample".</summary>
    [Required]
    public string? Distribution { get; init; }

    /// <summary>What each unit takes, seconds.</summary>
    [Range(PhaseLimits.LeastSeconds, PhaseLimits.MostSeconds)]
    public double? Value { get; init; }

    /// <summary>The shortest unit, seconds; above 0 for boundedPareto.</summary>
    [Range(0, PhaseLimits.MostSeconds)]
    public double? Min { get; init; }

    /// <summary>The longest unit, seconds; above min.</summary>
    [Range(PhaseLimits.LeastSeconds, PhaseLimits.MostSeconds)]
    public double? Max { get; init; }

    /// <summary>The mean of the units, seconds.</summary>
    [Range(PhaseLimits.LeastSeconds, PhaseLimits.MostSeconds)]
    public double? Mean { get; init; }

    /// <summary>Shape of the gamma distribution.</summary>
    [Range(PhaseLimits.LeastShape, PhaseLimits.MostShape)]
    public double? Shape { get; init; }

    /// <summary>Its scale, seconds.</summary>
    [Range(PhaseLimits.LeastSeconds, PhaseLimits.MostSeconds)]
    public double? Scale { get; init; }

    /// <summary>Mean of the natural logarithm of the seconds.</summary>
    [Range(-30.0, 20.0)]
    public double? Mu { get; init; }

    /// <summary>Standard deviation of that logarithm.</summary>
    [Range(PhaseLimits.LeastSigma, PhaseLimits.MostSigma)]
    public double? Sigma { get; init; }

    /// <summary>Tail exponent.</summary>
    [Range(PhaseLimits.LeastAlpha, PhaseLimits.MostAlpha)]
    public double? Alpha { get; init; }

    /// <summary>Measured durations, seconds, not all 0; units are drawn from them.</summary>
    [MinLength(1)]
    [MaxLength(MostValues)]
    [Range(0, PhaseLimits.MostSeconds)]
    public IReadOnlyList<double>? Values { get; init; }
}
