namespace Capacityplan.Core.Jobs;

/// <summary>
/// A job known by its work T1 and span T_inf alone, with the number of tasks it is split into and what the pool costs.
/// </summary>
public sealed record WorkAndSpan
{
    /// <summary>States a job by its work and span.</summary>
    /// <param name="workSeconds">T1, seconds of useful work on one core, scheduling costs not counted; above 0.</param>
    /// <param name="spanSeconds">T_inf, seconds of the longest chain that must run in order; from 0 to the work.</param>
    /// <param name="tasks">Number of leaf tasks the work is split into; 1 or more.</param>
    /// <param name="costs">What the pool costs; the defaults of <see cref="SchedulingCosts"/> where null.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public WorkAndSpan(double workSeconds, double spanSeconds, long tasks, SchedulingCosts? costs = null)
    {
        WorkSeconds = Require.Positive(workSeconds);
        SpanSeconds = Require.Within(spanSeconds, 0, workSeconds);
        Tasks = Require.AtLeast(tasks, 1);
        Costs = costs ?? new SchedulingCosts();
    }

    /// <summary>T1, seconds of useful work on one core; above 0.</summary>
    public double WorkSeconds { get; }

    /// <summary>T_inf, seconds; from 0 to <see cref="WorkSeconds"/>.</summary>
    public double SpanSeconds { get; }

    /// <summary>Number of leaf tasks; 1 or more.</summary>
    public long Tasks { get; }

    /// <summary>What the pool costs.</summary>
    public SchedulingCosts Costs { get; }
}
