using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Graphs;

/// <summary>A job described by its tasks.</summary>
public sealed record GraphJob
{
    /// <summary>States a job.</summary>
    /// <param name="graph">The tasks.</param>
    /// <param name="costs">What the pool costs; the mean time between tries is above 0.</param>
    /// <exception cref="ArgumentOutOfRangeException">The mean time between tries is 0.</exception>
    public GraphJob(TaskGraph graph, SchedulingCosts costs)
    {
        ArgumentNullException.ThrowIfNull(graph);
        ArgumentNullException.ThrowIfNull(costs);
        Require.Positive(costs.StealAttemptSeconds, nameof(costs));
        Graph = graph;
        Costs = costs;
        CostSeconds = costs.ForkSeconds + costs.JoinSeconds;
        SpanSeconds = graph.SpanSecondsWith(CostSeconds);
        WorkSeconds = Math.Max(SpanSeconds, graph.WorkSeconds + graph.Count * CostSeconds);
    }

    /// <summary>The tasks; two jobs are the same only where they share it.</summary>
    public TaskGraph Graph { get; }

    /// <summary>What the pool costs.</summary>
    public SchedulingCosts Costs { get; }

    /// <summary>A fork and a join, which each task pays, seconds.</summary>
    public double CostSeconds { get; }

    /// <summary>T1 with a fork and a join for each task, seconds.</summary>
    public double WorkSeconds { get; }

    /// <summary>T_inf, likewise, seconds.</summary>
    public double SpanSeconds { get; }
}
