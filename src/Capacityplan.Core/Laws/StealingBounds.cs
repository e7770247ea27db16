namespace Capacityplan.Core.Laws;

/// <summary>What is proved and what was measured about the mean run time under randomised work stealing.</summary>
/// <remarks>
/// M. Tchiboukdjian, N. Gast and D. Trystram, "Decentralized List Scheduling", Annals of Operations Research 207, 2013 (and
/// M. Tchiboukdjian, N. Gast, D. Trystram, J.-L. Roch and J. Bernard, "A Tighter Analysis of Work Stealing", ISAAC 2010;
/// authors from memory); R. D. Blumofe and others, Journal of Parallel and Distributed Computing 37(1), 1996.
/// For any fork/join job E[T_p] is at most T1/p + O(T_inf), with O(p T_inf) steals (R. D. Blumofe and C. E. Leiserson,
/// "Scheduling Multithreaded Computations by Work Stealing", Journal of the ACM 46(5), 1999; N. S. Arora, R. D. Blumofe and
/// C. G. Plaxton, "Thread Scheduling for Multiprogrammed Multiprocessors", Theory of Computing Systems 34, 2001); the
/// constants are not given, so there is no figure to compute from those.
/// </remarks>
public static class StealingBounds
{
    /// <summary>The proved factor of log2 W in <see cref="UnitTasksMeanCeiling"/>.</summary>
    public const double ProvedLogFactor = 3.65;

    /// <summary>
    /// The proved ceiling of the mean makespan of W independent tasks of one step each: W/m + 3.65 log2 W, steps.
    /// </summary>
    /// <remarks>
    /// Limits: unit tasks, a steal takes half of what the victim has and one step. The paper's own simulation of that
    /// synchronous form comes to about 3 log2 W; simulated without common steps the factor tends to about 2.
    /// </remarks>
    /// <param name="tasks">W, tasks; 1 or more.</param>
    /// <param name="cores">m, cores' worth; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double UnitTasksMeanCeiling(double tasks, double cores)
    {
        Require.AtLeast(tasks, 1);
        Require.AtLeast(cores, 1);
        return tasks / cores + ProvedLogFactor * Math.Log2(tasks);
    }

    /// <summary>The form that measured run times were found to follow: T_p = c1 T1/p + c2 T_inf, seconds.</summary>
    /// <remarks>
    /// Both factors come out near 1; for one family of synthetic jobs c1 0.9543 and c2 1.54 with a mean relative error of
    /// 13 % were published (from memory). Limits: a form to fit to a job's own runs, not a bound.
    /// </remarks>
    /// <param name="workSeconds">T1, seconds of work on one core; 0 or more.</param>
    /// <param name="spanSeconds">T_inf, seconds; from 0 to the work.</param>
    /// <param name="cores">p, cores' worth; 1 or more.</param>
    /// <param name="workFactor">c1; 0 or more.</param>
    /// <param name="spanFactor">c2; 0 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double MeasuredFormSeconds(
        double workSeconds, double spanSeconds, double cores, double workFactor = 1, double spanFactor = 1)
    {
        Require.NotNegative(workSeconds);
        Require.Within(spanSeconds, 0, workSeconds);
        Require.AtLeast(cores, 1);
        Require.NotNegative(workFactor);
        Require.NotNegative(spanFactor);
        return workFactor * workSeconds / cores + spanFactor * spanSeconds;
    }
}
