namespace Capacityplan.Core.Laws;

/// <summary>
/// What work T1 and span T_inf say about the run time T_p on p cores, whatever the job looks like inside.
/// </summary>
/// <remarks>
/// R. P. Brent, "The Parallel Evaluation of General Arithmetic Expressions", Journal of the ACM 21(2), 1974;
/// R. L. Graham, "Bounds for Certain Multiprocessing Anomalies", Bell System Technical Journal 45(9), 1966.
/// Limits: equal cores, no pre-emption, nothing lost to forks, steals, caches or memory. The laws are proved for a whole
/// number of cores; a fraction of a core (a second hardware thread) is read as that share of a core's speed.
/// </remarks>
public static class WorkSpanLaws
{
    /// <summary>The shortest time any schedule can take: max(T1/p, T_inf), seconds.</summary>
    /// <param name="workSeconds">T1, seconds of work on one core; 0 or more.</param>
    /// <param name="spanSeconds">T_inf, seconds of the longest chain that must run in order; from 0 to the work.</param>
    /// <param name="cores">p, cores' worth; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double FloorSeconds(double workSeconds, double spanSeconds, double cores)
    {
        Require.NotNegative(workSeconds);
        Require.Within(spanSeconds, 0, workSeconds);
        Require.AtLeast(cores, 1);
        return Math.Max(workSeconds / cores, spanSeconds);
    }

    /// <summary>
    /// The longest time a greedy schedule, one that never leaves a core idle while a task is ready, can take:
    /// (T1 - T_inf)/p + T_inf, seconds. Never below <see cref="FloorSeconds"/>, never twice it, and T1 itself on one core.
    /// </summary>
    /// <param name="workSeconds">T1, seconds of work on one core; 0 or more.</param>
    /// <param name="spanSeconds">T_inf, seconds of the longest chain that must run in order; from 0 to the work.</param>
    /// <param name="cores">p, cores' worth; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double GreedyCeilingSeconds(double workSeconds, double spanSeconds, double cores)
    {
        double floorSeconds = FloorSeconds(workSeconds, spanSeconds, cores);
        // Written so that one core gives T1 to the last digit; rounding alone could put the sum below the floor.
        return Math.Max(floorSeconds, workSeconds / cores + spanSeconds * (1 - 1 / cores));
    }

    /// <summary>
    /// T1/T_inf: the most cores the job can keep busy on average, and the most it can ever be sped up. 1 or more;
    /// null where the span is 0 and nothing bounds it.
    /// </summary>
    /// <param name="workSeconds">T1, seconds of work on one core; above 0.</param>
    /// <param name="spanSeconds">T_inf, seconds; from 0 to the work.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double? Parallelism(double workSeconds, double spanSeconds)
    {
        Require.Positive(workSeconds);
        Require.Within(spanSeconds, 0, workSeconds);
        return spanSeconds > 0 ? workSeconds / spanSeconds : null;
    }

    /// <summary>
    /// The core count from which the span weighs more than a core's share of the rest in the greedy bound:
    /// (T1 - T_inf)/p = T_inf, so p = T1/T_inf - 1. Below 1 where it does so on one core already; null where the span is 0.
    /// </summary>
    /// <param name="workSeconds">T1, seconds of work on one core; above 0.</param>
    /// <param name="spanSeconds">T_inf, seconds; from 0 to the work.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double? SpanBindsFromCores(double workSeconds, double spanSeconds) =>
        Parallelism(workSeconds, spanSeconds) is { } parallelism ? parallelism - 1 : null;
}
