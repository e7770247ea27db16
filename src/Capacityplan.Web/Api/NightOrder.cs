using System.Collections.Immutable;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>Puts a night of a request in the calculation's terms.</summary>
internal static class NightOrder
{
    private const string Path = "job.night";

    /// <summary>What the request's own job is called in its night.</summary>
    public static string OwnName(string? name) => string.IsNullOrWhiteSpace(name) ? "own" : name;

    /// <summary>Reads a night.</summary>
    /// <param name="request">The night.</param>
    /// <param name="own">Name of the request's own job.</param>
    /// <param name="findings">Holds what is wrong with single fields, receives the rest.</param>
    /// <returns>The night; null where there is an error in it.</returns>
    public static SharedNight? Of(NightRequest request, string? own, RequestFindings findings)
    {
        IReadOnlyList<NightJobRequest?> jobs = request.Jobs ?? [];
        var places = new Dictionary<string, int>(StringComparer.OrdinalIgnoreCase) { [OwnName(own)] = 0 };
        var plans = new List<Plan?>();
        for (int index = 0; index < jobs.Count; index++)
        {
            string path = JobPath(index);
            if (jobs[index]?.Name is { } name && !places.TryAdd(name, index + 1))
                findings.Error(path + ".name", "Another job of the night has this name already, the request's own among them; give each its own.");
            plans.Add(jobs[index]?.Job is { } job ? PlanOf(job, jobs[index]!.Name ?? "", path + ".job", findings) : null);
        }

        ImmutableArray<int> ownAfter = After(request.After, 0, Path + ".after", places, findings);
        ImmutableArray<int>[] others = [.. jobs.Select((job, index) => After(job?.After, index + 1, JobPath(index) + ".after", places, findings))];
        if (findings.Concern(Path) || plans.Any(plan => plan is null))
            return null;
        if (SharedNight.CircleOf([ownAfter, .. others]) is { } circle)
        {
            IEnumerable<string> names = circle.Select(job => job == 0 ? OwnName(own) : jobs[job - 1]!.Name!);
            findings.Error(
                circle.Max() == 0 ? Path + ".after" : JobPath(circle.Max() - 1) + ".after",
                $"These jobs wait for each other: {string.Join(", ", names)}. Leave one of the names out.");
            return null;
        }

        return new SharedNight([.. plans.Select((plan, index) => new NightJob(plan!, others[index]))], ownAfter) { MayShareCores = request.MayShareCores ?? true };
    }

    private static string JobPath(int index) => FormattableString.Invariant($"{Path}.jobs[{index}]");

    private static Plan? PlanOf(JobRequest job, string name, string path, RequestFindings findings)
    {
        (string Field, bool Given, string Why)[] unused =
        [
            ("window", job.Window is not null, "the night has one window, the request's"),
            ("nights", job.Nights is not null, "nights differ for all jobs alike, as the request says"),
            ("pastNights", job.PastNights is not null, "nights differ for all jobs alike, as the request says"),
            ("growthPerMonth", job.GrowthPerMonth is not null, "the input of all jobs grows alike, as the request says"),
            ("runsPerMonth", job.RunsPerMonth is not null, "all jobs run in the same nights"),
            ("night", job.Night is not null, "a night inside a night is not followed"),
        ];
        foreach ((string field, bool given, string why) in unused)
        {
            if (given)
                findings.Warn($"{path}.{field}", $"It has no place here, since {why}; it was left out.");
        }

        Plan? plan = JobOrder.PlanOf(job with { Window = null, Nights = null, PastNights = null, GrowthPerMonth = null, RunsPerMonth = null, Night = null, Name = name }, path, findings);
        if (plan?.Bounds is null)
            return plan;
        findings.Error(path, "It is known on one core count only, which is a point, not a curve. Add a run on a second one, or describe it otherwise.");
        return null;
    }

    private static ImmutableArray<int> After(IReadOnlyList<string?>? names, int place, string path, Dictionary<string, int> places, RequestFindings findings)
    {
        var after = new SortedSet<int>();
        for (int index = 0; index < (names?.Count ?? 0); index++)
        {
            if (names![index] is not { } name)
                continue;
            string at = FormattableString.Invariant($"{path}[{index}]");
            if (!places.TryGetValue(name, out int other))
                findings.Error(at, "No job of the night has this name.");
            else if (other == place)
                findings.Error(at, "A job cannot start after itself.");
            else
                after.Add(other);
        }

        return [.. after];
    }
}
