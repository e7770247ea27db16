using System.Collections.Immutable;

namespace Capacityplan.Core.Planning;

/// <summary>Reads the other jobs of a draft's night. Whatever is wrong is a problem at the job it is about.</summary>
internal static class NightReader
{
    private static readonly char[] s_between = [' ', ',', ';'];

    /// <summary>Reads them.</summary>
    /// <param name="draft">The draft.</param>
    /// <param name="plans">The saved plans it refers to.</param>
    /// <param name="blanks">Receives what is wrong.</param>
    /// <returns>The night, null where there is no other job or something is wrong; and whether a plan is still to be looked up.</returns>
    public static (SharedNight? Night, bool IsWaiting) Read(PlanDraft draft, NightPlans plans, BlankReader blanks)
    {
        if (draft.NightJobs.IsEmpty)
            return (null, false);
        if (draft.NightJobs.Length >= SharedNight.MostJobs)
        {
            blanks.Add(nameof(PlanDraft.NightJobs), $"A night has at most {SharedNight.MostJobs} jobs, the plan's own among them. Take {Figures.Count(draft.NightJobs.Length - SharedNight.MostJobs + 1)} out.");
            return (null, false);
        }

        var places = new Dictionary<string, int>(StringComparer.OrdinalIgnoreCase) { [NightJobDraft.Own] = 0 };
        var jobs = new Plan?[draft.NightJobs.Length];
        int before = blanks.Problems.Length;
        bool isWaiting = false;
        foreach ((int index, NightJobDraft job) in draft.NightJobs.Index())
        {
            string path = $"{nameof(PlanDraft.NightJobs)}[{index}].{nameof(NightJobDraft.Plan)}";
            if (!Guid.TryParse(job.Plan, out Guid key))
                blanks.Add(path, "This job of the night refers to no plan. Take it out and pick one from the list.");
            else if (!places.TryAdd(key.ToString(), index + 1))
                blanks.Add(path, $"{NameOf(job, null)} stands in this night twice. Take one of them out; for two runs, duplicate its plan.");
            else if (key == plans.Own)
                blanks.Add(path, "A plan is the first job of its own night already. Take this one out; for two runs, duplicate the plan.");
            else if (!plans.Plans.TryGetValue(key, out NightPlan? plan))
                isWaiting = true;
            else
                jobs[index] = Usable(job, plan, path, blanks);
        }

        ImmutableArray<int> own = After(draft, 0, draft.NightAfter, nameof(PlanDraft.NightAfter), places, blanks);
        ImmutableArray<int>[] others = [.. draft.NightJobs.Select((job, index) =>
            After(draft, index + 1, job.After, $"{nameof(PlanDraft.NightJobs)}[{index}].{nameof(NightJobDraft.After)}", places, blanks))];
        Circle(draft, [own, .. others], blanks);
        return isWaiting || blanks.Problems.Length > before
            ? (null, isWaiting)
            : (new SharedNight([.. jobs.Select((job, index) => new NightJob(job!, others[index]))], own) { MayShareCores = draft.NightSharesCores }, false);
    }

    /// <summary>What a job of the night is called.</summary>
    /// <param name="job">The job.</param>
    /// <param name="plan">Its plan, where it is there.</param>
    internal static string NameOf(NightJobDraft job, NightPlan? plan)
    {
        string name = plan?.Name is { Length: > 0 } now ? now : job.Name;
        return string.IsNullOrWhiteSpace(name) ? "A plan without a name" : $"\"{name.Trim()}\"";
    }

    private static Plan? Usable(NightJobDraft job, NightPlan plan, string path, BlankReader blanks)
    {
        string name = NameOf(job, plan);
        if (plan.IsUnreadable)
        {
            blanks.Add(path, $"{name} cannot be read; its text is kept in the list of plans. Take it out of the night, or pick another.");
            return null;
        }

        if (plan.Reading is not { } reading)
        {
            blanks.Add(path, $"{name} is deleted. Put it back in the list of plans and read the plans again, or take it out of the night.");
            return null;
        }

        if (reading.Question == PlanQuestion.GraphFile)
        {
            blanks.Add(path, $"The task graph of {name} is in a file that cannot be read. Open that plan and give it the file again, or take it out of the night.");
            return null;
        }

        if (reading.Plan is not { } described)
        {
            blanks.Add(path, $"{name} has no answer of its own yet: {reading.Waiting?.Sentence} Open it and complete it, or take it out of the night.");
            return null;
        }

        if (plan.HasNight)
            blanks.Note([new Problem(ProblemSeverity.Note, $"{name} has a night of its own. Only its own job counts here: nights are not followed further.", Path: path)]);
        return described;
    }

    private static ImmutableArray<int> After(PlanDraft draft, int place, string text, string path, Dictionary<string, int> places, BlankReader blanks)
    {
        var after = new SortedSet<int>();
        foreach (string key in text.Split(s_between, StringSplitOptions.RemoveEmptyEntries))
        {
            if (!places.TryGetValue(Guid.TryParse(key, out Guid id) ? id.ToString() : key, out int other))
            {
                if (!blanks.Has(path))
                    blanks.Add(path, $"{Named(draft, place)} waits for a job that is not in this night. Choose again what it starts after.");
            }
            else if (other == place)
            {
                blanks.Add(path, $"{Named(draft, place)} cannot start after itself. Choose another job, or none.");
            }
            else
            {
                after.Add(other);
            }
        }

        return [.. after];
    }

    private static void Circle(PlanDraft draft, ImmutableArray<int>[] after, BlankReader blanks)
    {
        if (SharedNight.CircleOf(after) is not { } circle)
            return;
        string round = string.Join(", ", circle.Select((job, at) => $"{Named(draft, job)} after {Named(draft, circle[(at + 1) % circle.Count])}"));
        int shown = circle.Max();
        blanks.Add(
            shown == 0 ? nameof(PlanDraft.NightAfter) : $"{nameof(PlanDraft.NightJobs)}[{shown - 1}].{nameof(NightJobDraft.After)}",
            $"These jobs wait for each other: {round}. Take one of these out, so that one of them can start.");
    }

    private static string Named(PlanDraft draft, int place) => place == 0 ? string.IsNullOrWhiteSpace(draft.Name) ? "This plan's job" : $"\"{draft.Name.Trim()}\"" : NameOf(draft.NightJobs[place - 1], null);
}
