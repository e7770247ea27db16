using System.Collections.Immutable;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>From how many runs a month one way to pay costs less than another.</summary>
/// <param name="Pairs">Each two ways to pay for the verdict's machine, and that machine against the best of another kind elsewhere.
/// A month costs fixedCostPerMonth + runs x costOfOneMoreRun.</param>
/// <param name="Sentence">The break-even nearest to the runs planned, in a sentence; null where there is no other way to pay.</param>
public sealed record BreakEvensAnswer(ImmutableArray<BreakEvenAnswer> Pairs, string? Sentence)
{
    /// <summary>Writes them; null where there are none.</summary>
    public static BreakEvensAnswer? Of(BreakEvens? found) =>
        found is null ? null : new([.. found.Pairs.Select(BreakEvenAnswer.Of)], found.Sentence);
}

/// <summary>Two ways to pay and where they cost the same.</summary>
/// <param name="One">One of them.</param>
/// <param name="Other">The other.</param>
/// <param name="RunsPerMonth">Runs a month at which both cost the same, rounded to 6 decimals; null where one costs less at any number of runs.</param>
/// <param name="CheaperBelow">The one that costs less with fewer runs; null where both always cost the same.</param>
/// <param name="CheaperAbove">The one that costs less with more runs; null likewise.</param>
public sealed record BreakEvenAnswer(OfferAnswer One, OfferAnswer Other, decimal? RunsPerMonth, OfferAnswer? CheaperBelow, OfferAnswer? CheaperAbove)
{
    /// <summary>Writes a pair.</summary>
    public static BreakEvenAnswer Of(BreakEven pair) => new(
        OfferAnswer.Of(pair.One)!, OfferAnswer.Of(pair.Other)!, pair.RunsPerMonth is { } runs ? MachineAnswer.Rounded(runs) : null,
        OfferAnswer.Of(pair.CheaperBelow), OfferAnswer.Of(pair.CheaperAbove));
}

/// <summary>A machine paid for in one way.</summary>
/// <param name="Machine">The machine's name.</param>
/// <param name="Purchase">The kind of purchase.</param>
/// <param name="Option">Its place, from 0, in the machine's list of ways to pay.</param>
public sealed record OfferAnswer(string Machine, string Purchase, int Option)
{
    /// <summary>Writes an offer; null where there is none.</summary>
    public static OfferAnswer? Of(MachineOutcome? outcome) =>
        outcome is null ? null : new(outcome.Machine.Name, outcome.Purchase.Kind, MachineAnswer.OptionOf(outcome));
}
