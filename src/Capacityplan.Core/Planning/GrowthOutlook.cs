using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>How long a machine lasts as the input grows.</summary>
/// <param name="Outcome">The machine in the cheapest way it can be paid for today; ways to pay that may be interrupted have lanes of their own.</param>
/// <param name="MissedFrom">The first month, from now, in which its chance is below the target; 0 where it is already, null
/// where it is not within <see cref="GrowthOutlook.FarthestMonth"/> months.</param>
/// <param name="Early">That month where the run time is on the slow side: one of ten curves says so or earlier.</param>
/// <param name="Late">On the fast side: one of ten says so or later; null past the farthest month.</param>
public sealed record GrowthLane(MachineOutcome Outcome, int? MissedFrom, int? Early, int? Late)
{
    /// <summary>True where an outcome, however it is paid for, holds in the same months as this lane.</summary>
    /// <param name="outcome">The outcome; null for none.</param>
    public bool IsOf(MachineOutcome? outcome) => outcome is not null && outcome.Machine == Outcome.Machine
        && Machines.Interruptions.Of(outcome.Purchase) == Machines.Interruptions.Of(Outcome.Purchase);
}

/// <summary>A stretch of the cheapest path.</summary>
/// <param name="From">Its first month, from now; 0 is this month.</param>
/// <param name="Months">How many months; 1 or more.</param>
/// <param name="Outcome">The machine, with today's figures; null where none of the catalogue holds.</param>
/// <param name="Cost">What those months cost, in the outcome's currency; 0 where none holds.</param>
/// <param name="FirstMonth">What the first of them costs.</param>
/// <param name="LastMonth">What the last of them costs.</param>
public sealed record PathStretch(int From, int Months, MachineOutcome? Outcome, decimal Cost, decimal FirstMonth, decimal LastMonth);

/// <summary>
/// What growth does to a plan: when each machine first misses the target, and the cheapest sequence of machines, month by
/// month.
/// </summary>
/// <remarks>
/// In each month the input is today's times the growth up to that month's beginning. The cheapest machine whose chance then
/// reaches the target is taken; moving from one to another is free, so that taking the cheapest every month is the cheapest
/// path. Prices stay as they are today.
/// </remarks>
public sealed record GrowthOutlook
{
    /// <summary>Months of the path: three years.</summary>
    public const int PathMonths = 36;

    /// <summary>How far ahead a miss is looked for: ten years.</summary>
    public const int FarthestMonth = 120;

    private const int MostCurves = 250;

    /// <summary>The machines that fit and hold the target today or are on the path, the shortest lasting first.</summary>
    public required ImmutableArray<GrowthLane> Lanes { get; init; }

    /// <summary>The cheapest path; empty without a window or machines.</summary>
    public required ImmutableArray<PathStretch> Path { get; init; }

    /// <summary>What the path costs.</summary>
    public required decimal Total { get; init; }

    /// <summary>The currency of the path; null where it is empty.</summary>
    public required string? Currency { get; init; }

    /// <summary>Months of the path in which no machine holds.</summary>
    public int MonthsWithout => Path.Where(stretch => stretch.Outcome is null).Sum(stretch => stretch.Months);

    /// <summary>Works it out.</summary>
    /// <param name="result">What the plan comes to today.</param>
    /// <param name="scaling">How its job scales, as the result was worked out with.</param>
    /// <param name="cancellation">Stops the work.</param>
    public static GrowthOutlook Of(PlanResult result, ScalingForecast scaling, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(result);
        Plan plan = result.Plan;
        string? currency = result.Machines.Where(outcome => outcome.Fits).GroupBy(outcome => outcome.Currency).MaxBy(group => group.Count())?.Key;
        MachineOutcome[] able = [.. result.Machines.Where(outcome => outcome.Fits && outcome.Finishes && outcome.Currency == currency)];
        if (plan.Window is not { } window || able.Length == 0)
            return new GrowthOutlook { Lanes = [], Path = [], Total = 0, Currency = null };

        var runs = new OfferRuns(result, scaling);
        double[] inputs = [.. Enumerable.Range(0, FarthestMonth + 1).Select(month => plan.Growth.FactorAt(month))];
        // A target is reached in the same months however a machine is paid for, interruptions apart.
        var holds = new Dictionary<MachineRun, bool[]>(ReferenceEqualityComparer.Instance);
        foreach (MachineOutcome outcome in able)
        {
            cancellation.ThrowIfCancellationRequested();
            MachineRun run = runs.Of(outcome);
            if (!holds.ContainsKey(run))
                holds.Add(run, [.. inputs.Select(input => run.Chance(window, input) >= window.TargetChance)]);
        }

        ImmutableArray<PathStretch> path = PathOf(able, runs, holds, inputs, plan);
        var lanes = new List<GrowthLane>();
        foreach (MachineOutcome outcome in able.DistinctBy(runs.Of, (IEqualityComparer<MachineRun>)ReferenceEqualityComparer.Instance))
        {
            cancellation.ThrowIfCancellationRequested();
            MachineRun run = runs.Of(outcome);
            if (holds[run][0] || path.Any(stretch => stretch.Outcome is { } taken && runs.Of(taken) == run))
                lanes.Add(LaneOf(outcome, run, holds[run], inputs, window));
        }

        return new GrowthOutlook
        {
            Lanes = [.. lanes.OrderBy(lane => lane.MissedFrom ?? int.MaxValue).ThenBy(lane => lane.Late ?? int.MaxValue)],
            Path = path,
            Total = path.Sum(stretch => stretch.Cost),
            Currency = currency,
        };
    }

    private static ImmutableArray<PathStretch> PathOf(
        MachineOutcome[] able, OfferRuns runs, Dictionary<MachineRun, bool[]> holds, double[] inputs, Plan plan)
    {
        var path = new List<PathStretch>();
        for (int month = 0; month < PathMonths; month++)
        {
            MachineOutcome? cheapest = null;
            decimal least = 0;
            foreach (MachineOutcome outcome in able)
            {
                MachineRun run = runs.Of(outcome);
                if (!holds[run][month])
                    continue;
                decimal cost = outcome.CostOfMonth(plan, run.HeldSeconds(outcome.RunSeconds.Median * run.TimeFactor(inputs[month])));
                // What is as cheap as the machine one has is not worth moving to.
                if (cheapest is null || cost < least || (cost == least && outcome == path.LastOrDefault()?.Outcome))
                    (cheapest, least) = (outcome, cost);
            }

            if (path.Count > 0 && path[^1].Outcome == cheapest)
                path[^1] = path[^1] with { Months = path[^1].Months + 1, Cost = path[^1].Cost + least, LastMonth = least };
            else
                path.Add(new PathStretch(month, 1, cheapest, least, least, least));
        }

        return [.. path];
    }

    private static GrowthLane LaneOf(MachineOutcome outcome, MachineRun run, bool[] holds, double[] inputs, BatchWindow window)
    {
        int missed = Array.IndexOf(holds, false);
        int stride = Max(1, run.DrawCount / MostCurves);
        var months = new List<int>();
        for (int draw = 0; draw < run.DrawCount; draw += stride)
        {
            // The first month over the largest time this curve can bear, the months' times being known.
            double most = run.LargestTimeFactorGiven(draw, window);
            int month = 0;
            while (month < inputs.Length && run.TimeFactor(inputs[month]) <= most)
                month++;
            months.Add(month);
        }

        months.Sort();
        int early = months[(int)(0.1 * (months.Count - 1))], late = months[(int)Ceiling(0.9 * (months.Count - 1))];
        return new GrowthLane(outcome, Within(missed < 0 ? inputs.Length : missed), Within(early), Within(late));

        int? Within(int month) => month < inputs.Length ? month : null;
    }
}
