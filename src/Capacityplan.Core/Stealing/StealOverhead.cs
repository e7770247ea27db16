using Capacityplan.Core.Jobs;
using Capacityplan.Core.Laws;

namespace Capacityplan.Core.Stealing;

/// <summary>
/// A closed form for the expected time of a job of which only work and span are known on a work-stealing pool. Where the phases
/// are known, <see cref="ExpectedPhase"/> is far closer.
/// </summary>
/// <remarks>
/// A job of n tasks is split by n - 1 forks, so its work is T1' = T1 + (n - 1)(o_fork + o_join). No more than n workers can
/// be busy at once, so m = min(p, n) of them count. To the greedy bound (R. P. Brent, Journal of the ACM 21(2), 1974;
/// R. L. Graham, Bell System Technical Journal 45(9), 1966) comes a term of the form that is proved for independent unit
/// tasks (M. Tchiboukdjian, N. Gast and D. Trystram, "Decentralized List Scheduling", Annals of Operations Research 207,
/// 2013), the time of one successful steal times the logarithm of the tasks:
/// <code>T = (T1' - T_inf)/m + T_inf + 2.2 (m - 1)/(m + 5) log2(1 + (n - 1)/6) (a + o_steal)</code>
/// with a the mean time between a thief's tries. 2.2, 5 and 6 are fitted to our own simulation of unit tasks, 2^10 to 2^22
/// of them on 4 to 1024 workers, a as long as a task, and rounded; there the form is within 1 % of the simulated mean. For
/// comparison, the factor of log2 n is proved to be at most 3.65 and reaches about 2 in the simulation.
/// Limits: over 19 simulated settings of uneven units and real costs it is from 0 to 3 % above the mean as long as the span
/// is at most 5 % of T1'/p, and up to 8 % above at 12 % and up to 80 % above where the span is as long as T1'/p: the greedy
/// bound allows for a worst order of tasks that stealing seldom meets. So it errs on the slow side.
/// </remarks>
public static class StealOverhead
{
    /// <summary>The expected time; on one core exactly T1', never below max(T1'/p, T_inf).</summary>
    /// <param name="job">The job; its tasks are taken to be the leaves of a range halved again and again.</param>
    /// <param name="cores">p, cores' worth, one worker to each; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">The core count is NaN, infinite or below 1.</exception>
    public static ExpectedMakespan ExpectedSeconds(WorkAndSpan job, double cores)
    {
        ArgumentNullException.ThrowIfNull(job);
        Require.AtLeast(cores, 1);
        double workers = Math.Min(cores, job.Tasks);
        double forksAndJoinsSeconds = (job.Tasks - 1) * (job.Costs.ForkSeconds + job.Costs.JoinSeconds);
        double greedySeconds = WorkSpanLaws.GreedyCeilingSeconds(
            job.WorkSeconds + forksAndJoinsSeconds, job.SpanSeconds, workers);
        double stealingSeconds = SuccessiveSteals(job.Tasks, workers) * (job.Costs.StealAttemptSeconds + job.Costs.StealSeconds);
        return new ExpectedMakespan(greedySeconds + stealingSeconds, forksAndJoinsSeconds / workers, stealingSeconds);
    }

    // How many steals, one after the other, lengthen the run by their full time.
    private static double SuccessiveSteals(long tasks, double workers) =>
        2.2 * (workers - 1) / (workers + 5) * Math.Log2(1 + (tasks - 1) / 6.0);
}
