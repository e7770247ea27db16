namespace Capacityplan.Core.Laws;

/// <summary>Tasks that do not wait for each other, handed out in any list order to whichever core is free.</summary>
/// <remarks>
/// R. L. Graham, "Bounds on Multiprocessing Timing Anomalies", SIAM Journal on Applied Mathematics 17(2), 1969.
/// It is the greedy bound with the longest task as the span. Limits: those of <see cref="WorkSpanLaws"/>.
/// </remarks>
public static class IndependentTasks
{
    /// <summary>The longest a list schedule can take: T1/p + (1 - 1/p) x_max, seconds.</summary>
    /// <param name="workSeconds">T1, the sum of the tasks, seconds; 0 or more.</param>
    /// <param name="longestTaskSeconds">x_max, the longest task, seconds; from 0 to the work.</param>
    /// <param name="cores">p, cores' worth; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double ListScheduleCeilingSeconds(double workSeconds, double longestTaskSeconds, double cores)
    {
        Require.NotNegative(workSeconds);
        Require.Within(longestTaskSeconds, 0, workSeconds);
        Require.AtLeast(cores, 1);
        return WorkSpanLaws.GreedyCeilingSeconds(workSeconds, longestTaskSeconds, cores);
    }
}
