using System.Collections.Immutable;
using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Reading;

/// <summary>How far the reading of a sample has come.</summary>
/// <param name="Values">Durations read so far.</param>
/// <param name="Characters">Characters taken from the text so far; over its length they are the share done.</param>
public readonly record struct SampleProgress(int Values, long Characters);

/// <summary>What a text of task durations was understood as.</summary>
public sealed record SampleReading
{
    /// <summary>The durations, seconds, in the order of the text; empty where there were too many.</summary>
    public required ImmutableArray<double> Seconds { get; init; }

    /// <summary>How many tasks each of <see cref="Seconds"/> stands for, where the text says so ("133 x 12.3 ms"); empty where each is one.</summary>
    public required ImmutableArray<int> Counts { get; init; }

    /// <summary>How many tasks there are.</summary>
    public required int Count { get; init; }

    /// <summary>What was not understood, doubted or left out, in the order of the text.</summary>
    public required ImmutableArray<Problem> Problems { get; init; }

    /// <summary>What a number without a unit was taken to count, seconds; null where every number has one.</summary>
    public double? UnitSeconds { get; init; }

    /// <summary>The heading of the column that was read, of several; null where there was one column or no heading.</summary>
    public string? Column { get; init; }

    /// <summary>The sample, condensed where it is large; null where there is none, or an error has to be put right first.</summary>
    public SampleSizes? Sizes { get; init; }
}
