using System.Collections.Immutable;
using static System.Math;
using static Capacityplan.Core.Planning.AnswerPartKind;

namespace Capacityplan.Core.Planning;

/// <summary>Writes the answer.</summary>
internal static class VerdictWriter
{
    /// <param name="plan">The plan.</param>
    /// <param name="forecast">How the job scales.</param>
    /// <param name="ranked">The offers, cheapest first.</param>
    /// <param name="choice">The chosen one; null where none holds.</param>
    /// <param name="stays">In what share of the curves the choice stays.</param>
    public static Verdict Write(Plan plan, Forecast forecast, ImmutableArray<Offer> ranked, Offer? choice, double? stays)
    {
        if (ranked.IsEmpty)
            return NotYet("Which machines can you have?", "The catalogue is empty: add a machine and its price.", "one thing missing");
        if (plan.Window is not { } window)
            return NotYet("When must it be done?", "Without a window there is a run time for each machine, below, but nothing to choose by.", "one thing missing");
        if (choice is not null)
            return Holds(plan, window, forecast, choice.Outcome, stays);
        ImmutableArray<Offer> compared = [.. ranked.Where(offer => offer.Comparable)];
        string none = compared.Length == ranked.Length ? "No machine" : $"No machine priced in {compared[0].Outcome.Currency}";
        if (compared.Any(offer => offer.Outcome.Fits) && !compared.Any(offer => offer.IsAble))
            return NeverFinishes(none);
        return compared.Any(offer => offer.Outcome.Fits) ? Misses(plan, window, compared, none) : NothingFits(plan, compared, none);
    }

    private static Verdict Holds(Plan plan, BatchWindow window, Forecast forecast, MachineOutcome outcome, double? stays)
    {
        string time = Figures.Time(outcome.StartToFinishSeconds.Median);
        string range = Figures.TimeRange(outcome.StartToFinishSeconds.Low, outcome.StartToFinishSeconds.High, outcome.StartToFinishSeconds.Median);
        string chance = Figures.Chance(outcome.ChanceInWindow!.Value);
        string cost = Figures.MoneyOfRun(outcome.CostPerRun, outcome.Currency);
        return new Verdict
        {
            State = VerdictState.Holds,
            Choice = outcome,
            Parts =
            [
                new(Machine, outcome.Machine.Name), new(Words, $"{Way(outcome, ",")} finishes {All(plan)}in "), new(Time, time), new(Words, $" ({range}), inside the "),
                new(AnswerPartKind.Window, Stated(window.Seconds)), new(Words, " window on "), new(Chance, chance), new(Words, " nights, for "),
                new(Cost, cost), new(Words, " a run."),
            ],
            BriefParts =
            [
                new(Machine, outcome.Machine.Name), new(Words, Way(outcome, "") + (plan.SharedNight is null ? ": " : $": {All(plan)}in ")), new(Time, time), new(Words, $" ({range}), holds "), new(Chance, chance),
                new(Words, " nights, "), new(Cost, cost), new(Words, " a run."),
            ],
            Then = string.Join(" ", ((string?[])[Apart(plan, outcome), Sureness(stays), PastMeasured(forecast, outcome), HeldBackFrom(forecast)]).OfType<string>()),
            StateNote = Spare(plan, window, outcome),
        };
    }

    private static Verdict Misses(Plan plan, BatchWindow window, ImmutableArray<Offer> compared, string none)
    {
        // Where none has a chance worth the name, the fastest comes closest.
        Offer closest = compared.Where(offer => offer.IsAble)
            .OrderByDescending(offer => Floor(100 * offer.Outcome.ChanceInWindow!.Value)).ThenBy(offer => offer.MedianSeconds).First();
        MachineOutcome outcome = closest.Outcome;
        string length = Stated(window.Seconds);
        string time = Figures.Time(outcome.StartToFinishSeconds.Median);
        string chance = Figures.Chance(outcome.ChanceInWindow!.Value);
        double? needed = closest.Run.WindowFor(window.TargetChance);
        (Offer Offer, double Seconds)? sooner = Sooner(compared, closest, needed, window.TargetChance);
        bool ordinaryMisses = outcome.StartToFinishSeconds.Median > window.Seconds;
        double over = (ordinaryMisses ? outcome.StartToFinishSeconds : outcome.HeavyStartToFinishSeconds ?? outcome.StartToFinishSeconds).Median - window.Seconds;
        return new Verdict
        {
            State = VerdictState.Misses,
            Choice = outcome,
            Parts =
            [
                new(Words, $"{none} holds {Figures.Article(length)} "), new(AnswerPartKind.Window, length),
                new(Words, $" window {For(plan)}on {Figures.Target(window.TargetChance)}. "), new(Machine, outcome.Machine.Name), new(Words, $"{Way(outcome, ",")} comes closest: "),
                new(Time, time), new(Words, ", on "), new(Chance, chance), new(Words, "."),
            ],
            BriefParts =
            [
                new(Words, "None holds "), new(AnswerPartKind.Window, length), new(Words, plan.SharedNight is { } night ? $" for {Jobs(night)}. Closest: " : ". Closest: "), new(Machine, outcome.Machine.Name), new(Words, $"{Way(outcome, "")}, "),
                new(Time, time), new(Words, ", on "), new(Chance, chance), new(Words, "."),
            ],
            Then = sooner is { } other
                ? $"{other.Offer.Outcome.Machine.Name} would hold the shortest window, {Figures.Time(other.Seconds)}: {Figures.Difference(other.Seconds - window.Seconds, window.Seconds)} more."
                : needed is { } enough
                ? $"It would hold a window of {Figures.Time(enough)}: {Figures.Difference(enough - window.Seconds, window.Seconds)} more."
                : "No window would be long enough for it.",
            StateNote = over > 0
                ? $"by {Figures.Difference(over, window.Seconds)}" + (ordinaryMisses ? "" : " on heavy nights")
                : "too often",
        };
    }

    /// <summary>A machine that would hold a shorter window than the closest one; null where none would. Looked for among the fastest.</summary>
    private static (Offer Offer, double Seconds)? Sooner(ImmutableArray<Offer> compared, Offer closest, double? needed, double targetChance)
    {
        const int Fastest = 12;
        (Offer Offer, double Seconds)? sooner = null;
        foreach (Offer offer in compared.Where(offer => offer.IsAble && offer.Run != closest.Run).OrderBy(offer => offer.MedianSeconds).DistinctBy(offer => offer.Run).Take(Fastest))
        {
            if (offer.Run.WindowFor(targetChance) is { } seconds && seconds < (sooner?.Seconds ?? needed ?? double.PositiveInfinity))
                sooner = (offer, seconds);
        }

        return sooner;
    }

    private static Verdict NothingFits(Plan plan, ImmutableArray<Offer> compared, string none)
    {
        string needing = plan.SharedNight is null ? "job" : "night";
        MachineOutcome largest = compared.MaxBy(offer => offer.Outcome.Machine.MemoryGiB)!.Outcome;
        return new Verdict
        {
            State = VerdictState.Misses,
            Choice = null,
            Parts =
            [
                new(Words, $"{none} has the {Gibibytes(plan.MemoryNeededGiB)} the {needing} needs. The largest, "), new(Machine, largest.Machine.Name),
                new(Words, $", has {Gibibytes(largest.Machine.MemoryGiB)}."),
            ],
            BriefParts = [new(Words, $"{none} has the {Gibibytes(plan.MemoryNeededGiB)} the {needing} needs.")],
            Then = "Add a larger machine to the catalogue, or correct the memory needed.",
            StateNote = "not enough memory",
        };
    }

    private static Verdict NeverFinishes(string none) => new()
    {
        State = VerdictState.Misses,
        Choice = null,
        Parts = [new(Words, $"{none} would finish: each that fits is interrupted too often.")],
        BriefParts = [new(Words, $"{none} would finish: interrupted too often.")],
        Then = "Add a way to pay without interruptions, or checkpoints.",
        StateNote = "interrupted too often",
    };

    /// <summary>The way to pay where the machine is offered in several, between commas.</summary>
    private static string Way(MachineOutcome outcome, string end) =>
        PurchaseWords.AmongSeveral(outcome.Machine, outcome.Purchase) is { } way ? $", {way}{end}" : "";

    /// <summary>An answer that waits for something.</summary>
    internal static Verdict NotYet(string question, string then, string note) => new()
    {
        State = VerdictState.NotYet,
        Choice = null,
        Parts = [new(Words, question)],
        BriefParts = [new(Words, question)],
        Then = then,
        StateNote = note,
    };

    /// <summary>"all 3 jobs " where others share the night.</summary>
    private static string All(Plan plan) => plan.SharedNight is { } night ? $"{Jobs(night)} " : "";

    /// <summary>"for all 3 jobs " where others share the night.</summary>
    private static string For(Plan plan) => plan.SharedNight is { } night ? $"for {Jobs(night)} " : "";

    private static string Jobs(SharedNight night) => night.After.Length == 2 ? "both jobs" : $"all {night.After.Length} jobs";

    /// <summary>Usual and heavy nights apart.</summary>
    private static string? Apart(Plan plan, MachineOutcome outcome) =>
        outcome is { HeavyStartToFinishSeconds: { } heavy, ChanceOnHeavyNights: { } held, ChanceOnOrdinaryNights: { } usual }
            ? $"On a usual night {Figures.Time(outcome.StartToFinishSeconds.Median)}, held {Figures.Chance(usual)}; on a heavy one, one in {Figures.Count(Round(1 / plan.Nights.HeavyShare, 1))}, {Figures.TimeWithBand(heavy)}, held {Figures.Chance(held)}."
            : null;

    private static string? Sureness(double? stays) =>
        stays is { } share ? $"Cheapest that holds in {Figures.Chance(share)} draws." : null;

    private static string? PastMeasured(Forecast forecast, MachineOutcome outcome) =>
        outcome.TimesPastMeasured is > 1.005 and { } past
            ? $"Its {Figures.Count(Round(outcome.EffectiveCores, 1))} cores' worth is {past.ToString(past < 10 ? "0.##" : "0", System.Globalization.CultureInfo.InvariantCulture)} times past the {forecast.MeasuredUpToCores} measured."
            : null;

    /// <summary>What holds a job back first, and from how many cores on; null where nothing does.</summary>
    internal static string? HeldBackFrom(Forecast forecast)
    {
        double span = forecast.SpanBindsFromCores ?? double.PositiveInfinity;
        // What grows with the cores may take most of a run before the span does.
        LimitRange? first = forecast.Limits.FirstOrDefault(range => range.LimitedBy != Limit.Work);
        string? grows = first is not null && first.FromCores < span ? first.LimitedBy switch
        {
            Limit.Overhead => "forks, joins and steals hold it back",
            Limit.Contention => "workers in each other's way hold it back",
            Limit.Bandwidth => "memory bandwidth holds it back",
            _ => null,
        } : null;
        double from = grows is null ? span : first!.FromCores;
        if (from >= 100_000)
            return null;
        string what = grows ?? "the serial parts and the span hold it back";
        return from < 2 ? $"{char.ToUpperInvariant(what[0])}{what[1..]} from the second core on." : $"Past {Figures.Count(Floor(from))} cores {what}.";
    }

    private static string Spare(Plan plan, BatchWindow window, MachineOutcome outcome)
    {
        // A target below one half is met by a machine that is late on most nights.
        double spare = window.Seconds - outcome.StartToFinishSeconds.Median;
        string ordinary = Figures.Difference(Abs(spare), window.Seconds) + (spare >= 0 ? " to spare" : " late on an ordinary night");
        if (outcome.HeavyStartToFinishSeconds is not { } heavy || plan.Nights.HeavyShare >= 1)
            return ordinary;
        double left = window.Seconds - heavy.Median;
        // Less than a tenth of the band is neither early nor late.
        if (Abs(left) < (heavy.High - heavy.Low) / 10)
            return ordinary + ", none on heavy nights";
        string margin = Figures.Difference(Abs(left), window.Seconds);
        return ordinary + (left > 0 ? $", {margin} on heavy nights" : $", {margin} late on heavy nights");
    }

    /// <summary>A time somebody stated: a whole number of its unit needs no decimal.</summary>
    private static string Stated(double seconds) =>
        Figures.Time(seconds).Replace(".0" + Figures.NoBreakSpace, Figures.NoBreakSpace.ToString(), StringComparison.Ordinal);

    private static string Gibibytes(double memory) => Figures.Count(memory) + Figures.NoBreakSpace + "GiB";
}
