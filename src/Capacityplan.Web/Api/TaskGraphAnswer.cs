using System.Collections.Immutable;
using Capacityplan.Core;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Web.Api;

/// <summary>What is known of a task graph. Times are seconds.</summary>
/// <param name="Seed">The seed used.</param>
/// <param name="Tasks">Tasks; the dummy entry and exit of the plain text form are none.</param>
/// <param name="Edges">Pairs of a task and one it waits for.</param>
/// <param name="WorkSeconds">Work T1, the sum of all durations.</param>
/// <param name="SpanSeconds">Span, the longest chain of durations.</param>
/// <param name="Parallelism">Work over span.</param>
/// <param name="MaxWidth">Most tasks that run at one time with unlimited cores.</param>
/// <param name="CriticalPath">Ids of one longest chain, first task first.</param>
/// <param name="Replicates">Runs of the pool simulated on each core count.</param>
/// <param name="Schedules">One entry for each core count asked for, in their order.</param>
/// <param name="Problems">What was doubted or left out of the file, with line and column, and of the query.</param>
public sealed record TaskGraphAnswer(
    int Seed,
    int Tasks,
    int Edges,
    double WorkSeconds,
    double SpanSeconds,
    double Parallelism,
    int MaxWidth,
    ImmutableArray<string> CriticalPath,
    int Replicates,
    ImmutableArray<ScheduleAnswer> Schedules,
    ImmutableArray<ProblemAnswer> Problems)
{
    /// <summary>Writes an answer.</summary>
    internal static TaskGraphAnswer Of(
        TaskGraph graph, int seed, int replicates, IEnumerable<(GraphOutlook Outlook, SimulatedPool Pool)> schedules, IEnumerable<Problem> problems) =>
        new(
            seed,
            graph.Count,
            graph.Edges,
            graph.WorkSeconds,
            graph.SpanSeconds,
            graph.Parallelism ?? 1,
            WidthProfile.Of(graph).MaxWidth,
            [.. graph.CriticalPath().Select(graph.Id)],
            replicates,
            [.. schedules.Select(pair => ScheduleAnswer.Of(pair.Outlook, pair.Pool))],
            [.. problems.Select(ProblemAnswer.Of)]);
}

/// <summary>A graph on a number of cores. Times are seconds.</summary>
/// <param name="Cores">Cores.</param>
/// <param name="ListSeconds">The shortest of our list schedules and what bettered them; what the pool costs is not counted.</param>
/// <param name="StealingSeconds">Simulated runs on a work-stealing pool of that many workers, its costs counted.</param>
/// <param name="FloorSeconds">The strongest bound proved: no schedule is shorter.</param>
/// <param name="ProvedOptimal">True where floor and list schedule meet.</param>
/// <param name="GreedyCeilingSeconds">(T1 - span)/p + span: no greedy schedule is longer.</param>
public sealed record ScheduleAnswer(
    int Cores, double ListSeconds, StealingAnswer StealingSeconds, double FloorSeconds, bool ProvedOptimal, double GreedyCeilingSeconds)
{
    internal static ScheduleAnswer Of(GraphOutlook outlook, SimulatedPool pool) => new(
        outlook.Cores, outlook.Schedule.MakespanSeconds,
        new StealingAnswer(pool.MakespanSeconds.Mean, pool.MakespanSeconds.P05, pool.MakespanSeconds.P95),
        outlook.FloorSeconds, outlook.IsOptimal, outlook.GreedyCeilingSeconds);
}

/// <summary>Simulated run times, seconds.</summary>
/// <param name="Mean">Their mean.</param>
/// <param name="Low">Their 5 % quantile.</param>
/// <param name="High">Their 95 % quantile.</param>
public sealed record StealingAnswer(double Mean, double Low, double High);
