using System.Collections.Immutable;

namespace Capacityplan.Core.Planning;

/// <summary>Puts offers in order and finds the frontier of cost against time.</summary>
internal static class Ranking
{
    /// <summary>
    /// Cheapest run first, the faster first among equals, those that do not fit last; marks the frontier: an offer is on it
    /// where no other that fits is at least as fast and as cheap and better in one of the two.
    /// </summary>
    /// <param name="offers">The offers.</param>
    public static ImmutableArray<Offer> Rank(IEnumerable<Offer> offers)
    {
        Offer[] sorted =
        [
            .. offers
                .OrderBy(offer => !offer.Outcome.Fits).ThenBy(offer => !offer.Comparable).ThenBy(offer => !offer.Outcome.Finishes)
                .ThenBy(offer => offer.Outcome.CostPerRun).ThenBy(offer => offer.MedianSeconds)
                .ThenBy(offer => offer.Name, StringComparer.Ordinal),
        ];
        double fastest = double.PositiveInfinity;
        for (int i = 0; i < sorted.Length; i++)
        {
            Offer offer = sorted[i];
            if (!offer.IsAble || !(offer.MedianSeconds < fastest))
                continue;
            fastest = offer.MedianSeconds;
            sorted[i] = offer with { Outcome = offer.Outcome with { OnFrontier = true } };
        }

        return [.. sorted];
    }
}
