using System.Collections.Immutable;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// Shares the cores of a machine among the jobs of a night: each job is given a number of cores for its whole run, and the
/// jobs are then started in the order of what still hangs on them, each as soon as those before it have ended and its cores
/// are free.
/// </summary>
/// <remarks>
/// Jobs whose cores are chosen before they run are called moldable (Turek, Wolf and Yu, "Approximate algorithms for scheduling
/// parallelizable tasks", SPAA 1992; named from memory). Finding the best shares is hard in general. Up to three jobs all
/// shares of the list below are tried in all orders; with more they are searched from "all cores for each" and "the same for
/// each that can run at once" by changing one job's share, or moving cores from one job to another, as long as the night
/// gets shorter. It is never longer than one job after another.
/// </remarks>
internal sealed class NightAllotment
{
    /// <summary>The shares of a machine a job may be given.</summary>
    private static readonly double[] s_shares = [1, 7.0 / 8, 3.0 / 4, 2.0 / 3, 5.0 / 8, 1.0 / 2, 3.0 / 8, 1.0 / 3, 1.0 / 4, 1.0 / 6, 1.0 / 8];

    /// <summary>So much of all cores may be given out too much by rounding.</summary>
    private const double Rounding = 1e-9;

    private readonly ImmutableArray<ImmutableArray<int>> _after;
    private readonly int[] _order;

    private NightAllotment(ImmutableArray<ImmutableArray<int>> after, double[] shares, int[] order) => (_after, Shares, _order) = (after, shares, order);

    /// <summary>The share of all cores each job has, above 0 and at most 1.</summary>
    public double[] Shares { get; }

    /// <summary>Finds shares.</summary>
    /// <param name="after">For each job those it waits for; without a circle.</param>
    /// <param name="cores">Cores' worth of the machine; 1 or more.</param>
    /// <param name="mayShare">False where each job has all cores.</param>
    /// <param name="seconds">Usual time of a job on so many cores' worth, seconds.</param>
    public static NightAllotment Find(ImmutableArray<ImmutableArray<int>> after, double cores, bool mayShare, Func<int, double, double> seconds)
    {
        // A job has one core at least: less is nothing it was measured or described for.
        double[] choices = mayShare ? [.. s_shares.Where(share => share * cores >= 1)] : [1];
        double[][] times = [.. Enumerable.Range(0, after.Length).Select(job => choices.Select(share => seconds(job, share * cores)).ToArray())];
        return new Search(after, choices, times).Best();
    }

    /// <summary>Runs the night with these shares.</summary>
    /// <param name="seconds">What each job takes with its share, seconds.</param>
    /// <param name="runs">Receives start and end of each job; null where only the length is asked for.</param>
    /// <returns>When the last job ends, seconds.</returns>
    public double Run(ReadOnlySpan<double> seconds, (double Start, double End)[]? runs)
    {
        int jobs = _order.Length;
        Span<double> ends = stackalloc double[jobs];
        ends.Fill(double.PositiveInfinity);
        Span<bool> started = stackalloc bool[jobs];
        double now = 0, free = 1, last = 0;
        for (int left = jobs; left > 0;)
        {
            foreach (int job in _order)
            {
                if (started[job] || Shares[job] > free + Rounding || !IsReady(job, ends, now))
                    continue;
                started[job] = true;
                free -= Shares[job];
                ends[job] = now + seconds[job];
                last = Max(last, ends[job]);
                if (runs is not null)
                    runs[job] = (now, ends[job]);
                left--;
            }

            double next = double.PositiveInfinity;
            for (int job = 0; job < jobs; job++)
            {
                if (started[job] && ends[job] > now)
                    next = Min(next, ends[job]);
            }

            for (int job = 0; job < jobs; job++)
            {
                if (started[job] && ends[job] == next)
                    free += Shares[job];
            }

            now = next;
        }

        return last;
    }

    private bool IsReady(int job, ReadOnlySpan<double> ends, double now)
    {
        foreach (int before in _after[job])
        {
            if (ends[before] > now)
                return false;
        }

        return true;
    }

    /// <summary>Jobs so that each stands behind those it waits for.</summary>
    internal static int[] Sorted(ImmutableArray<ImmutableArray<int>> after)
    {
        var sorted = new List<int>();
        while (sorted.Count < after.Length)
        {
            for (int job = 0; job < after.Length; job++)
            {
                if (!sorted.Contains(job) && after[job].All(sorted.Contains))
                    sorted.Add(job);
            }
        }

        return [.. sorted];
    }

    /// <summary>The search for shares.</summary>
    private sealed class Search(ImmutableArray<ImmutableArray<int>> after, double[] choices, double[][] times)
    {
        /// <summary>Up to so many jobs every combination of shares is tried in every order.</summary>
        private const int FewJobs = 3;

        private readonly int _jobs = after.Length;
        private NightAllotment? _best;
        private double _least = double.PositiveInfinity;

        public NightAllotment Best()
        {
            // One after another, with all cores each: nothing found may be worse.
            Length(new int[_jobs]);
            if (choices.Length > 1 && _jobs <= FewJobs)
                TryAll();
            else if (choices.Length > 1)
            {
                int alike = Array.FindIndex(choices, share => share * Widest() <= 1 + Rounding);
                Improve(new int[_jobs]);
                Improve([.. Enumerable.Repeat(alike < 0 ? choices.Length - 1 : alike, _jobs)]);
            }

            return _best!;
        }

        private void TryAll()
        {
            int[][] orders = [.. Orders(_jobs)];
            int[] chosen = new int[_jobs];
            for (int place = 0; place >= 0;)
            {
                foreach (int[] order in orders)
                    Length(chosen, order);
                for (place = _jobs - 1; place >= 0 && ++chosen[place] == choices.Length; place--)
                    chosen[place] = 0;
            }
        }

        /// <summary>Changes one job's share, or moves cores from one job to another, as long as the night gets shorter.</summary>
        private void Improve(int[] chosen)
        {
            double length = Length(chosen);
            for (bool shorter = true; shorter;)
            {
                shorter = false;
                for (int job = 0; job < _jobs; job++)
                {
                    for (int choice = 0; choice < choices.Length; choice++)
                    {
                        // Two jobs side by side on all cores: what one gains the other gives up.
                        int rest = Array.FindIndex(choices, share => share <= 1 - choices[choice] + Rounding);
                        for (int other = -1; other < _jobs; other++)
                        {
                            if (other == job || (other >= 0 && rest < 0))
                                continue;
                            int[] tried = (int[])chosen.Clone();
                            tried[job] = choice;
                            if (other >= 0)
                                tried[other] = rest;
                            double tryLength = Length(tried);
                            // A gain within rounding would go round in circles.
                            if (tryLength >= length * (1 - 1e-12))
                                continue;
                            (chosen, length, shorter) = (tried, tryLength, true);
                        }
                    }
                }
            }
        }

        private double Length(int[] chosen, int[]? order = null)
        {
            double[] usual = [.. chosen.Select((choice, job) => times[job][choice])];
            var allotment = new NightAllotment(after, [.. chosen.Select(choice => choices[choice])], order ?? ByChain(usual));
            double length = allotment.Run(usual, null);
            if (length < _least * (1 - 1e-12))
                (_best, _least) = (allotment, length);
            return length;
        }

        /// <summary>Jobs by what still hangs on them: the longest chain of usual times from their start, longest first.</summary>
        private int[] ByChain(double[] seconds)
        {
            double[] chain = new double[_jobs];
            foreach (int job in Sorted(after).Reverse())
            {
                chain[job] += seconds[job];
                foreach (int before in after[job])
                    chain[before] = Max(chain[before], chain[job]);
            }

            return [.. Enumerable.Range(0, _jobs).OrderByDescending(job => chain[job]).ThenBy(job => job)];
        }

        /// <summary>The most jobs on one level of the order: about how many can run at once.</summary>
        private int Widest()
        {
            int[] level = new int[_jobs];
            foreach (int job in Sorted(after))
                level[job] = after[job].Select(before => level[before] + 1).DefaultIfEmpty(0).Max();
            return level.GroupBy(one => one).Max(jobs => jobs.Count());
        }

        private static IEnumerable<int[]> Orders(int jobs) => jobs == 1
            ? [[0]]
            : Orders(jobs - 1).SelectMany(order => Enumerable.Range(0, jobs).Select(at => (int[])[.. order.Take(at), jobs - 1, .. order.Skip(at)]));
    }
}
