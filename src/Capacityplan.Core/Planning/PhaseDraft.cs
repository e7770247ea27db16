using System.Text.Json.Serialization;

namespace Capacityplan.Core.Planning;

/// <summary>How the durations of a parallel phase's units are described.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<UnitDistribution>))]
public enum UnitDistribution
{
    /// <summary>All alike: <see cref="PhaseDraft.EachTakes"/>.</summary>
    [JsonStringEnumMemberName("constant")] Constant,

    /// <summary>Evenly spread: <see cref="PhaseDraft.Shortest"/> to <see cref="PhaseDraft.Longest"/>.</summary>
    [JsonStringEnumMemberName("uniform")] Uniform,

    /// <summary>Exponential: <see cref="PhaseDraft.Mean"/>.</summary>
    [JsonStringEnumMemberName("exponential")] Exponential,

    /// <summary>Gamma: <see cref="PhaseDraft.Mean"/> and <see cref="PhaseDraft.StandardDeviation"/>.</summary>
    [JsonStringEnumMemberName("gamma")] Gamma,

    /// <summary>Lognormal: <see cref="PhaseDraft.Median"/> and <see cref="PhaseDraft.NearlyAllWithin"/>.</summary>
    [JsonStringEnumMemberName("lognormal")] Lognormal,

    /// <summary>Pareto between two ends: <see cref="PhaseDraft.Shortest"/>, <see cref="PhaseDraft.Longest"/>, <see cref="PhaseDraft.Alpha"/>.</summary>
    [JsonStringEnumMemberName("boundedPareto")] BoundedPareto,

    /// <summary>Measured ones: <see cref="PhaseDraft.SampleText"/>.</summary>
    [JsonStringEnumMemberName("sample")] Sample,
}

/// <summary>
/// A phase of a job as its owner typed it: every field is the text of a blank. Blanks that the kind of phase or the chosen
/// distribution does not use are kept, not read: whoever tries another distribution and comes back finds them as they were.
/// </summary>
public sealed record PhaseDraft
{
    /// <summary>What it is called; "phase 2" and so on where it is empty.</summary>
    public string Name { get; init; } = "";

    /// <summary>True where its units are split over the workers; false where one worker runs it while the others are idle.</summary>
    public bool IsParallel { get; init; } = true;

    /// <summary>Length of a serial phase, as "4.2 min".</summary>
    public string Seconds { get; init; } = "";

    /// <summary>Number of units of a parallel phase, as "48,000".</summary>
    public string Units { get; init; } = "";

    /// <summary>How the durations of the units are described.</summary>
    public UnitDistribution Sizes { get; init; }

    /// <summary>Constant: what each unit takes, as "290 ms".</summary>
    public string EachTakes { get; init; } = "";

    /// <summary>Uniform and bounded Pareto: the shortest unit.</summary>
    public string Shortest { get; init; } = "";

    /// <summary>Uniform and bounded Pareto: the longest unit.</summary>
    public string Longest { get; init; } = "";

    /// <summary>Exponential and gamma: the mean of the units.</summary>
    public string Mean { get; init; } = "";

    /// <summary>Gamma: their standard deviation, a time.</summary>
    public string StandardDeviation { get; init; } = "";

    /// <summary>Lognormal: the median of the units.</summary>
    public string Median { get; init; } = "";

    /// <summary>Lognormal: what 95 % of the units take less than; above the median.</summary>
    public string NearlyAllWithin { get; init; } = "";

    /// <summary>Bounded Pareto: tail exponent, as "1.5".</summary>
    public string Alpha { get; init; } = "";

    /// <summary>Sample: measured durations, as pasted.</summary>
    public string SampleText { get; init; } = "";

    /// <summary>Split size: most units that are run without splitting further; 1 where it is empty.</summary>
    public string Grain { get; init; } = "1";

    /// <summary>Fork cost, as "50 ns". An empty cost, here and below, takes the default of <see cref="Jobs.SchedulingCosts"/>.</summary>
    public string Fork { get; init; } = "50 ns";

    /// <summary>Join cost.</summary>
    public string Join { get; init; } = "50 ns";

    /// <summary>Cost of combining for each unit of a joined range; none where it is empty.</summary>
    public string CombinePerUnit { get; init; } = "";

    /// <summary>Mean interval between a thief's tries; above 0.</summary>
    public string StealAttempt { get; init; } = "0.2 us";

    /// <summary>Cost of a steal.</summary>
    public string Steal { get; init; } = "1 us";

    /// <summary>Mean time until a worker is awake at the start of the phase; all are awake already where it is empty.</summary>
    public string Wake { get; init; } = "";

    /// <summary>What a cold cache costs for each unit of a stolen range; nothing where it is empty.</summary>
    public string RefillPerUnit { get; init; } = "";

    /// <summary>Units that fill a cache: a stolen range pays for no more than these; none where it is empty.</summary>
    public string RefillUnits { get; init; } = "";

    /// <summary>Memory traffic of each unit, as "4 MB"; a bare number counts bytes, and it is not known where it is empty.</summary>
    public string BytesPerUnit { get; init; } = "";
}
