using System.Collections.Immutable;
using Capacityplan.Core.Graphs;

namespace Capacityplan.Core.Reading;

/// <summary>How far the reading of a task graph has come.</summary>
/// <param name="Tasks">Tasks read so far.</param>
/// <param name="Characters">Characters taken from the text so far; over its length they are the share done.</param>
public readonly record struct TaskGraphProgress(int Tasks, long Characters);

/// <summary>The forms a task graph is read from.</summary>
public enum TaskGraphFormat
{
    /// <summary>The number of tasks, then a row for each: number, time, how many parents, the parents.</summary>
    PlainText,

    /// <summary>A table of id, seconds and parents.</summary>
    Table,

    /// <summary>A workflow trace in JSON.</summary>
    WorkflowTrace,
}

/// <summary>What a text was understood as.</summary>
public sealed record TaskGraphReading
{
    /// <summary>The graph; null where an error has to be put right first.</summary>
    public required TaskGraph? Graph { get; init; }

    /// <summary>The form the text was taken for.</summary>
    public required TaskGraphFormat Format { get; init; }

    /// <summary>What is wrong, doubted or left out, in the order of the text.</summary>
    public required ImmutableArray<Problem> Problems { get; init; }

    /// <summary>True where the text begins as JSON and is none, or breaks off.</summary>
    public bool IsMalformed { get; init; }

    /// <summary>What the text calls the job; null where it does not.</summary>
    public string? Name { get; init; }

    /// <summary>
    /// The run time a trace records, seconds: with queueing, staging and whatever else the run met, so often far above any bound;
    /// null where there is none.
    /// </summary>
    public double? RecordedMakespanSeconds { get; init; }
}
