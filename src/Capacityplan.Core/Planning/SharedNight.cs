using System.Collections.Immutable;

namespace Capacityplan.Core.Planning;

/// <summary>Another job of the same night.</summary>
/// <param name="Plan">The job; a night, a window and prices of its own are not looked at.</param>
/// <param name="After">The jobs that must have ended before it starts, by number: 0 is the plan's own job, 1 the first of
/// the others.</param>
public sealed record NightJob(Plan Plan, ImmutableArray<int> After);

/// <summary>
/// The jobs that share a plan's window and its machine: the plan's own and others, with an order between them. The machine is
/// started once, and the night is over when the last of them has ended.
/// </summary>
public sealed record SharedNight
{
    /// <summary>The most jobs of a night.</summary>
    public const int MostJobs = 12;

    /// <summary>States a night.</summary>
    /// <param name="others">The other jobs; from 1 to <see cref="MostJobs"/> - 1.</param>
    /// <param name="after">The others that must have ended before the plan's own job starts, by number from 1.</param>
    /// <exception cref="ArgumentException">There is no other job or too many, a number names no job, or the order is a circle.</exception>
    public SharedNight(ImmutableArray<NightJob> others, ImmutableArray<int> after)
    {
        if (others.IsDefaultOrEmpty || others.Length >= MostJobs)
            throw new ArgumentException($"A night has from 1 to {MostJobs - 1} other jobs.", nameof(others));
        Others = others;
        After = [after.IsDefault ? [] : after, .. others.Select(job => job.After.IsDefault ? [] : job.After)];
        if (After.Any(jobs => jobs.Any(job => job < 0 || job > others.Length)))
            throw new ArgumentException("An order names a job that is not there.", nameof(after));
        if (CircleOf(After) is { } circle)
            throw new ArgumentException($"The jobs {string.Join(", ", circle)} wait for each other.", nameof(after));
    }

    /// <summary>The other jobs.</summary>
    public ImmutableArray<NightJob> Others { get; }

    /// <summary>For each job, the plan's own first, the jobs that must have ended before it starts.</summary>
    public ImmutableArray<ImmutableArray<int>> After { get; }

    /// <summary>True where jobs that do not wait for each other may share the cores, when that ends the night sooner. Their
    /// memory is then needed at once.</summary>
    public bool MayShareCores { get; init; } = true;

    /// <summary>Jobs that wait for each other in a circle, each for the next; null where there is none.</summary>
    /// <param name="after">For each job, those it waits for.</param>
    public static IReadOnlyList<int>? CircleOf(IReadOnlyList<ImmutableArray<int>> after)
    {
        int[] state = new int[after.Count];
        var path = new List<int>();
        for (int job = 0; job < after.Count; job++)
        {
            if (Follow(job) is { } circle)
                return circle;
        }

        return null;

        List<int>? Follow(int job)
        {
            if (state[job] == 2)
                return null;
            if (state[job] == 1)
                return path.GetRange(path.IndexOf(job), path.Count - path.IndexOf(job));
            state[job] = 1;
            path.Add(job);
            foreach (int before in after[job])
            {
                if (Follow(before) is { } circle)
                    return circle;
            }

            path.RemoveAt(path.Count - 1);
            state[job] = 2;
            return null;
        }
    }

    /// <summary>Memory the night needs of a machine, GiB: the most any job needs, or their sum where they may run at once.</summary>
    /// <param name="ownGiB">Memory of the plan's own job, GiB.</param>
    public double MemoryGiB(double ownGiB)
    {
        IEnumerable<double> all = Others.Select(job => job.Plan.MemoryGiB).Append(ownGiB);
        return MayShareCores ? all.Sum() : all.Max();
    }
}
