using System.Collections.Immutable;
using Capacityplan.Core.Graphs;

namespace Capacityplan.Core.Planning;

/// <summary>A task of the critical path, and what shortening it gains.</summary>
/// <param name="Task">The task, by number from 0.</param>
/// <param name="Seconds">Its duration.</param>
/// <param name="SpanShare">Its share of the span; from 0 to 1.</param>
/// <param name="SpanGainSeconds">By how much the span falls with the task shortened by <see cref="GraphStudy.ShortenedBy"/>, seconds.</param>
public readonly record struct CriticalTask(int Task, double Seconds, double SpanShare, double SpanGainSeconds);

/// <summary>What a task graph says of itself, before it is put on cores.</summary>
public sealed record GraphStudy
{
    /// <summary>The share of its duration by which a task is shortened to see what that gains.</summary>
    public const double ShortenedBy = 0.1;

    /// <summary>The job.</summary>
    public required GraphJob Job { get; init; }

    /// <summary>How many tasks run at a time if cores are unlimited.</summary>
    public required WidthProfile Profile { get; init; }

    /// <summary>One longest chain, in its order.</summary>
    public required ImmutableArray<CriticalTask> CriticalPath { get; init; }

    /// <summary>The kinds of tasks.</summary>
    public required TaskKinds Kinds { get; init; }

    /// <summary>Studies a graph.</summary>
    /// <param name="job">The job.</param>
    /// <param name="cancellation">Ends it early.</param>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static GraphStudy Of(GraphJob job, CancellationToken cancellation = default)
    {
        TaskGraph graph = job.Graph;
        WidthProfile profile = WidthProfile.Of(graph);
        cancellation.ThrowIfCancellationRequested();
        var gains = ShorteningGains.OnSpan(graph, ShortenedBy, graph.Count).ToDictionary(gain => gain.Task, gain => gain.SpanGainSeconds);
        cancellation.ThrowIfCancellationRequested();
        return new GraphStudy
        {
            Job = job,
            Profile = profile,
            Kinds = TaskKinds.Of(graph),
            CriticalPath =
            [
                .. graph.CriticalPath().Select(task => new CriticalTask(
                    task, graph.Seconds[task], graph.SpanSeconds > 0 ? graph.Seconds[task] / graph.SpanSeconds : 0, gains.GetValueOrDefault(task))),
            ],
        };
    }
}
