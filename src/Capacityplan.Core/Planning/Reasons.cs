using System.Collections.Immutable;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>Says of every offer why it is chosen, or why not.</summary>
internal static class Reasons
{
    /// <summary>Two times closer than this share are as fast as each other to anyone who waits for them.</summary>
    private const double AsFast = 0.01;

    /// <param name="ranked">The offers, cheapest first.</param>
    /// <param name="choice">The chosen one.</param>
    /// <param name="nextFaster">The next step up the frontier.</param>
    /// <param name="plan">The plan.</param>
    public static ImmutableArray<Offer> Give(ImmutableArray<Offer> ranked, Offer? choice, Offer? nextFaster, Plan plan)
    {
        // Few of many offers are on the frontier, and only those are looked through for each.
        ImmutableArray<Offer> frontier = [.. ranked.Where(offer => offer.Outcome.OnFrontier)];
        return [.. ranked.Select(offer => offer with { Outcome = offer.Outcome with { Why = Why(offer, ranked, frontier, choice, nextFaster, plan) } })];
    }

    private static string? Why(Offer offer, ImmutableArray<Offer> ranked, ImmutableArray<Offer> frontier, Offer? choice, Offer? nextFaster, Plan plan)
    {
        MachineOutcome outcome = offer.Outcome;
        if (!outcome.Fits)
            return $"Does not fit: it has {Gibibytes(outcome.Machine.MemoryGiB)}, the job needs {Gibibytes(plan.MemoryGiB)}.";
        if (!offer.Comparable)
            return $"Priced in {outcome.Purchase.Currency}: without a rate it is not compared with the others.";
        if (!outcome.Finishes)
            return $"Would hardly ever finish: interrupted {Often(offer)}, and a run needs {Figures.Time(outcome.RunSeconds.Median)}{(outcome.BestCheckpointSeconds is null ? " in one go" : "")}.";
        if (plan.Window is not { } window)
            return null;
        if (offer == choice)
            return Chosen(ranked, window);
        if (!outcome.MeetsTarget)
            return TooSlow(offer, frontier, window);
        if (Beater(offer, frontier) is { } beater)
            return $"Beaten by {beater.Name}: {Slower(offer, beater)}, {Dearer(offer, beater)}.";
        if (offer == nextFaster)
            return $"Next faster step: {Sooner(offer, choice!)} for {Extra(offer, choice!)}.";
        // The step below it; the choice itself where only machines that miss the target lie between.
        Offer below = frontier.LastOrDefault(other => other.Outcome.MeetsTarget && other.MedianSeconds > offer.MedianSeconds)
            ?? choice!;
        return offer.MedianSeconds < below.MedianSeconds
            ? $"{(IsFastest(offer, ranked) ? "Fastest: " : "")}{Sooner(offer, below)} than {below.Name} for {Extra(offer, below)} more."
            : $"Holds too; {Slower(offer, below)} than {below.Name}, {Dearer(offer, below)}.";
    }

    private static string Chosen(ImmutableArray<Offer> ranked, BatchWindow window) =>
        ranked.Count(offer => offer.Outcome.MeetsTarget) == 1
            ? $"The only one that holds on {Figures.Target(window.TargetChance)}."
            : $"Cheapest that holds on {Figures.Target(window.TargetChance)}.";

    private static string TooSlow(Offer offer, ImmutableArray<Offer> frontier, BatchWindow window)
    {
        MachineOutcome outcome = offer.Outcome;
        // A run that would do if nothing came between is not slow.
        if (offer.Run.Interruptions is not null && outcome.Machine.StartUpSeconds + outcome.RunSeconds.High < window.Seconds)
            return $"Interrupted too often: holds {Figures.Chance(outcome.ChanceInWindow!.Value)} nights, short of {Figures.Target(window.TargetChance)}.";
        double over = outcome.StartToFinishSeconds.Median - window.Seconds;
        if (over > 0)
        {
            return Beater(offer, frontier) is { } beater
                ? $"Too slow by {Figures.Difference(over, window.Seconds)}; slower than {beater.Name} too, {Dearer(offer, beater)}."
                : $"Too slow: {Figures.Difference(over, window.Seconds)} past the window on an ordinary night.";
        }

        if (outcome.HeavyStartToFinishSeconds is { } heavy && heavy.Median > window.Seconds)
            return $"Misses heavy nights, by {Figures.Difference(heavy.Median - window.Seconds, window.Seconds)} on a usual one.";
        return $"Too close: holds {Figures.Chance(outcome.ChanceInWindow!.Value)} nights, short of {Figures.Target(window.TargetChance)}.";
    }

    /// <summary>The cheapest offer that is at least as fast and as cheap, and better in one of the two.</summary>
    private static Offer? Beater(Offer offer, ImmutableArray<Offer> frontier) =>
        offer.Outcome.OnFrontier
            ? null
            : frontier.FirstOrDefault(other =>
                other.MedianSeconds <= offer.MedianSeconds && other.Outcome.CostPerRun <= offer.Outcome.CostPerRun
                && (other.Outcome.MeetsTarget || !offer.Outcome.MeetsTarget));

    private static bool IsFastest(Offer offer, ImmutableArray<Offer> ranked) =>
        ranked.Where(other => other.IsAble).All(other => other.MedianSeconds >= offer.MedianSeconds);

    private static string Slower(Offer offer, Offer than)
    {
        double seconds = offer.MedianSeconds - than.MedianSeconds;
        return seconds < AsFast * than.MedianSeconds ? "no faster" : $"{Figures.Difference(seconds, offer.MedianSeconds)} slower";
    }

    private static string Sooner(Offer offer, Offer than) => $"{Figures.Difference(Max(0, than.MedianSeconds - offer.MedianSeconds), than.MedianSeconds)} sooner";

    private static string Dearer(Offer offer, Offer than)
    {
        decimal more = offer.Outcome.CostPerRun - than.Outcome.CostPerRun;
        return more < 0.005m && more < 0.01m * than.Outcome.CostPerRun ? "for the same money" : $"{Figures.MoneyOfRun(more, offer.Outcome.Currency)} dearer";
    }

    private static string Extra(Offer offer, Offer than) =>
        Figures.MoneyOfRun(offer.Outcome.CostPerRun - than.Outcome.CostPerRun, offer.Outcome.Currency);

    private static string Often(Offer offer) => $"every {Figures.Time(offer.Run.Interruptions?.MeanSecondsBetween ?? 0)} on average";

    private static string Gibibytes(double memory) => Figures.Count(memory) + Figures.NoBreakSpace + "GiB";
}
