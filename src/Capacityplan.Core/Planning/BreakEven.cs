using System.Collections.Immutable;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// Two offers whose cost of a month is a line in the runs, fixed + runs x one more run, and where the lines meet.
/// </summary>
/// <remarks>Runs = (fixed of one - fixed of other) / (one more run of other - one more run of one), where that is above 0.</remarks>
public sealed record BreakEven
{
    private BreakEven(MachineOutcome one, MachineOutcome other, decimal? runs)
    {
        (One, Other, RunsPerMonth) = (one, other, runs);
        bool dearerByTheRun = one.CostOfOneMoreRun > other.CostOfOneMoreRun;
        if (runs is not null)
            (CheaperBelow, CheaperAbove) = dearerByTheRun ? (one, other) : (other, one);
        else if (one.FixedCostPerMonth != other.FixedCostPerMonth || one.CostOfOneMoreRun != other.CostOfOneMoreRun)
            CheaperBelow = CheaperAbove = one.FixedCostPerMonth != other.FixedCostPerMonth ? one.FixedCostPerMonth < other.FixedCostPerMonth ? one : other : dearerByTheRun ? other : one;
    }

    /// <summary>One offer.</summary>
    public MachineOutcome One { get; }

    /// <summary>The other, in the same currency.</summary>
    public MachineOutcome Other { get; }

    /// <summary>Runs a month at which both cost the same; above 0, null where one is cheaper at any number of runs up to
    /// <see cref="Machines.PurchaseOption.MostRuns"/>, or both cost the same.</summary>
    public decimal? RunsPerMonth { get; }

    /// <summary>The cheaper with fewer runs; null where both cost the same throughout.</summary>
    public MachineOutcome? CheaperBelow { get; }

    /// <summary>The cheaper with more runs; null where both cost the same throughout.</summary>
    public MachineOutcome? CheaperAbove { get; }

    /// <summary>Works it out.</summary>
    /// <param name="one">One offer.</param>
    /// <param name="other">The other.</param>
    /// <exception cref="ArgumentException">Their costs are in different currencies.</exception>
    public static BreakEven Of(MachineOutcome one, MachineOutcome other)
    {
        ArgumentNullException.ThrowIfNull(one);
        ArgumentNullException.ThrowIfNull(other);
        if (one.Currency != other.Currency)
            throw new ArgumentException($"Costs in {one.Currency} and {other.Currency} are not compared.", nameof(other));
        decimal dearer = one.FixedCostPerMonth - other.FixedCostPerMonth, saved = other.CostOfOneMoreRun - one.CostOfOneMoreRun;
        bool cross = dearer != 0 && saved != 0 && (dearer > 0) == (saved > 0);
        // Past this number of runs no month has room for them, whatever a run is.
        bool within = cross && (double)dearer / (double)saved <= Machines.PurchaseOption.MostRuns;
        return new BreakEven(one, other, within ? dearer / saved : null);
    }

    /// <summary>What an offer costs a month with so many runs, in its currency; not rounded.</summary>
    /// <param name="outcome">The offer.</param>
    /// <param name="runsPerMonth">Runs a month; 0 or more.</param>
    public static decimal CostAt(MachineOutcome outcome, decimal runsPerMonth)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        return outcome.FixedCostPerMonth + Require.NotNegative(runsPerMonth) * outcome.CostOfOneMoreRun;
    }

    /// <summary>The same in a sentence.</summary>
    /// <param name="plannedRuns">Runs a month of the plan.</param>
    public string Sentence(double plannedRuns)
    {
        bool sameMachine = One.Machine.Name == Other.Machine.Name;
        string NameOf(MachineOutcome outcome) => sameMachine ? Way(outcome) : outcome.Name;
        if (CheaperBelow is null || CheaperAbove is null)
            return sameMachine ? $"{One.Machine.Name} costs the same {Way(One)} and {Way(Other)}." : $"{One.Name} and {Other.Name} cost the same.";
        string below = NameOf(CheaperBelow), above = NameOf(CheaperAbove);
        string planned = $"; the plan has {Figures.Count(Round(plannedRuns, 1))}";
        if (RunsPerMonth is not { } runs)
        {
            string dearer = NameOf(CheaperBelow == One ? Other : One);
            return sameMachine
                ? $"{One.Machine.Name} is cheaper {below} than {dearer} at any number of runs a month."
                : $"{below} is cheaper than {dearer} at any number of runs a month.";
        }

        string at = $"Below {Figures.Count(Round((double)runs, 1))} runs a month";
        return sameMachine
            ? $"{at} {One.Machine.Name} is cheaper {below}, above it {above}{planned}."
            : $"{at} {below} is cheaper, above it {above}{planned}.";
    }

    private static string Way(MachineOutcome outcome) =>
        PurchaseWords.AmongSeveral(outcome.Machine, outcome.Purchase) ?? PurchaseWords.Of(outcome.Purchase);
}

/// <summary>Break-even points about a machine.</summary>
/// <param name="Pairs">Each two of its ways to pay that may be chosen, then its best against the best of another kind elsewhere.</param>
/// <param name="Sentence">The one that matters most, in a sentence; null where there is none.</param>
public sealed record BreakEvens(ImmutableArray<BreakEven> Pairs, string? Sentence)
{
    /// <summary>A machine with more ways to pay than this is compared in its cheapest ones.</summary>
    private const int MostWays = 8;

    /// <summary>Works them out for one outcome's machine.</summary>
    /// <param name="able">Offers that may be chosen, in one currency, cheapest first.</param>
    /// <param name="about">The one they are wanted for; null where none is.</param>
    /// <param name="plan">The plan.</param>
    internal static BreakEvens? Of(ImmutableArray<MachineOutcome> able, MachineOutcome? about, Plan plan)
    {
        if (about is null)
            return null;
        MachineOutcome[] ways = [.. able.Where(outcome => ReferenceEquals(outcome.Machine, about.Machine)).Take(MostWays)];
        var pairs = ImmutableArray.CreateBuilder<BreakEven>();
        for (int one = 0; one < ways.Length; one++)
        {
            for (int other = one + 1; other < ways.Length; other++)
                pairs.Add(BreakEven.Of(ways[one], ways[other]));
        }

        MachineOutcome? elsewhere = able.FirstOrDefault(outcome =>
            outcome.MeetsTarget == about.MeetsTarget && outcome.Purchase.Kind != about.Purchase.Kind && !ReferenceEquals(outcome.Machine, about.Machine));
        if (elsewhere is not null)
            pairs.Add(BreakEven.Of(about, elsewhere));
        ImmutableArray<BreakEven> all = pairs.ToImmutable();
        return new BreakEvens(all, Telling(all, about, plan)?.Sentence(plan.RunsPerMonth));
    }

    /// <summary>Of the pairs with the offer that it holds against, the one whose break-even lies nearest to the planned runs; one
    /// that never meets only where all are like that.</summary>
    private static BreakEven? Telling(ImmutableArray<BreakEven> pairs, MachineOutcome about, Plan plan) => pairs
        .Where(pair => (pair.One == about || pair.Other == about) && pair.One.MeetsTarget == pair.Other.MeetsTarget)
        .MinBy(pair => pair.RunsPerMonth is { } runs ? Abs(Log(Max(1e-9, (double)runs) / plan.RunsPerMonth)) : double.MaxValue);
}
