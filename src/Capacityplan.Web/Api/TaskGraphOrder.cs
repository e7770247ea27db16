using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Web.Api;

/// <summary>What is asked of a task graph, in the query of the address; the graph itself is the body.</summary>
/// <param name="Cores">Core counts, in the order wanted.</param>
/// <param name="Replicates">Runs simulated on each; null for as many as are usual for a graph of its size.</param>
/// <param name="Seed">Seed of everything random.</param>
/// <param name="Costs">What the pool costs.</param>
internal sealed record TaskGraphOrder(ImmutableArray<int> Cores, int? Replicates, int Seed, SchedulingCosts Costs)
{
    /// <summary>The most core counts of one request.</summary>
    public const int MostCoreCounts = 100;

    /// <summary>The most replicates of one request.</summary>
    public const int MostReplicates = 100_000;

    /// <summary>The most runs of single tasks that are simulated in one request: up to a minute of one core.</summary>
    public const double MostTaskRuns = 3e8;

    /// <summary>Without a number of replicates, so many runs of single tasks are simulated, and <see cref="UsualReplicates"/> at most.</summary>
    private const double UsualTaskRuns = 2e7;

    private const int UsualReplicates = 200;

    private const double MostCostSeconds = 1_000;

    private static readonly string[] s_fields = ["cores", "replicates", "seed", "forkSeconds", "joinSeconds", "stealAttemptSeconds", "stealSeconds"];

    /// <summary>Reads a query.</summary>
    /// <param name="query">The query.</param>
    /// <param name="findings">Receives what is wrong with it, by the name of the parameter; the order is worth nothing then.</param>
    public static TaskGraphOrder From(IQueryCollection query, RequestFindings findings)
    {
        foreach (string name in query.Keys.Where(name => !s_fields.Contains(name, StringComparer.OrdinalIgnoreCase)))
            findings.UnknownField(() => name, $"The parameter is not known to this API and was left out; it knows {string.Join(", ", s_fields)}.");
        var costs = new SchedulingCosts();
        return new TaskGraphOrder(
            CoresOf(query, findings),
            Whole(query, "replicates", 1, MostReplicates, findings),
            Whole(query, "seed", int.MinValue, int.MaxValue, findings) ?? new SimulationSettings().Seed,
            new SchedulingCosts
            {
                ForkSeconds = Seconds(query, "forkSeconds", findings) ?? costs.ForkSeconds,
                JoinSeconds = Seconds(query, "joinSeconds", findings) ?? costs.JoinSeconds,
                StealAttemptSeconds = Seconds(query, "stealAttemptSeconds", findings, above0: true) ?? costs.StealAttemptSeconds,
                StealSeconds = Seconds(query, "stealSeconds", findings) ?? costs.StealSeconds,
            });
    }

    /// <summary>How many runs are simulated on each core count; null, with a finding, where that is more than anyone would wait for.</summary>
    /// <param name="tasks">Tasks of the graph; 1 or more.</param>
    /// <param name="findings">Receives why not.</param>
    public int? ReplicatesFor(int tasks, RequestFindings findings)
    {
        double once = (double)tasks * Cores.Length;
        double asked = Replicates ?? Math.Clamp(Math.Floor(UsualTaskRuns / once), 1, UsualReplicates);
        if (asked * once <= MostTaskRuns)
            return (int)asked;
        findings.Error(
            Replicates is null ? "cores" : "replicates",
            FormattableString.Invariant($"{tasks:#,0} tasks on {Cores.Length} core counts, {asked:#,0} times each, are {asked * once:0.#e+0} runs of a task; {MostTaskRuns:0.#e+0} are the most. Ask for fewer replicates or core counts."));
        return null;
    }

    private static ImmutableArray<int> CoresOf(IQueryCollection query, RequestFindings findings)
    {
        // Both cores=2,4 and cores=2&cores=4.
        string[] words = [.. query["cores"].SelectMany(value => (value ?? "").Split(',', StringSplitOptions.TrimEntries))];
        if (words.Length == 0)
            return [1, 2, 4, 8, 16, 32, 64, 128];
        if (words.Length > MostCoreCounts)
        {
            findings.Error("cores", FormattableString.Invariant($"There are {words.Length:#,0} core counts; {MostCoreCounts} are the most."));
            return [];
        }

        var cores = ImmutableArray.CreateBuilder<int>();
        foreach (string word in words)
        {
            if (int.TryParse(word, NumberStyles.None, CultureInfo.InvariantCulture, out int count) && count is >= 1 and <= SimulationOrder.MostCores)
                cores.Add(count);
            else
                findings.Error("cores", FormattableString.Invariant($"\"{Short(word)}\" is not a core count: give whole numbers from 1 to {SimulationOrder.MostCores:#,0}, such as 2,4,8."));
        }

        return cores.ToImmutable();
    }

    private static int? Whole(IQueryCollection query, string name, int least, int most, RequestFindings findings)
    {
        if (Only(query, name, findings) is not { } word)
            return null;
        if (int.TryParse(word, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out int value) && value >= least && value <= most)
            return value;
        findings.Error(name, FormattableString.Invariant($"It is \"{Short(word)}\"; it has to be a whole number from {least:#,0} to {most:#,0}."));
        return null;
    }

    private static double? Seconds(IQueryCollection query, string name, RequestFindings findings, bool above0 = false)
    {
        if (Only(query, name, findings) is not { } word)
            return null;
        if (double.TryParse(word, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) && value <= MostCostSeconds && (above0 ? value > 0 : value >= 0))
            return value;
        findings.Error(name, FormattableString.Invariant($"It is \"{Short(word)}\"; it has to be seconds, {(above0 ? "above 0" : "0 or more")} and {MostCostSeconds:#,0} at most."));
        return null;
    }

    private static string? Only(IQueryCollection query, string name, RequestFindings findings)
    {
        if (query[name] is not { Count: > 1 } several)
            return query[name] is [{ } only] ? only.Trim() : null;
        findings.Error(name, FormattableString.Invariant($"It is given {several.Count} times; give it once."));
        return null;
    }

    private static string Short(string word) => word.Length > 40 ? word[..40] + "…" : word;
}
