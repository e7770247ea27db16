using System.Collections.Immutable;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>How surely a choice is the right one, whichever of the curves is the true one.</summary>
internal static class SteadyChoice
{
    /// <summary>So many curves are enough to say in how many of 100 a choice stays.</summary>
    private const int Draws = 250;

    /// <summary>In what share of the curves, each taken as the true one, the choice is the cheapest that holds.</summary>
    /// <param name="ranked">The offers, as <see cref="Ranking.Rank"/> puts them: of two that cost the same the earlier counts.</param>
    /// <param name="choice">The choice, one of them.</param>
    /// <param name="window">What holds.</param>
    /// <param name="cancellation">Stops the work.</param>
    public static double ShareOf(ImmutableArray<Offer> ranked, Offer choice, BatchWindow window, CancellationToken cancellation)
    {
        int[] draws = DrawsOf(choice.Run.DrawCount);
        Candidate[] candidates = Candidates(ranked, draws);
        int stays = 0;
        for (int i = 0; i < draws.Length; i++)
        {
            cancellation.ThrowIfCancellationRequested();
            Candidate? cheapest = null;
            decimal least = decimal.MaxValue;
            foreach (Candidate one in candidates)
            {
                // By no curve do this one and those after it cost as little.
                if (one.LeastCost > least)
                    break;
                decimal cost = one.Cost(one.HeldSeconds[i]);
                bool isCheaper = cost < least || (cost == least && one.Rank < cheapest?.Rank);
                if (isCheaper && one.Offer.Run.HoldsGiven(draws[i], window))
                    (cheapest, least) = (one, cost);
            }

            if (cheapest?.Offer == choice)
                stays++;
        }

        return (double)stays / draws.Length;
    }

    /// <summary>The curves looked at: those of one model lie next to each other, so they are taken evenly over all.</summary>
    internal static int[] DrawsOf(int count)
    {
        int stride = Max(1, count / Draws);
        return [.. Enumerable.Range(0, (count + stride - 1) / stride).Select(place => place * stride)];
    }

    /// <summary>The offers that can be chosen, by the least each costs by any of the curves.</summary>
    private static Candidate[] Candidates(ImmutableArray<Offer> ranked, int[] draws)
    {
        // Ways to pay for one machine share its run, unless it may be interrupted.
        Offer[] able = [.. ranked.Where(offer => offer.IsAble)];
        MachineRun[] runs = [.. able.Select(offer => offer.Run).Distinct(ReferenceEqualityComparer.Instance).Cast<MachineRun>()];
        var seconds = new double[runs.Length][];
        Parallel.For(0, runs.Length, run => seconds[run] = [.. draws.Select(runs[run].HeldSecondsGiven)]);
        var held = new Dictionary<MachineRun, double[]>(ReferenceEqualityComparer.Instance);
        foreach ((MachineRun run, double[] of) in runs.Zip(seconds))
            held.Add(run, of);
        var candidates = new Candidate[able.Length];
        Parallel.For(0, able.Length, rank => candidates[rank] = new Candidate(able[rank], rank, held[able[rank].Run]));
        return [.. candidates.OrderBy(one => one.LeastCost)];
    }

    /// <summary>An offer that can be chosen.</summary>
    /// <param name="Offer">The offer.</param>
    /// <param name="Rank">Its place among those that can be chosen.</param>
    /// <param name="HeldSeconds">Seconds a run is paid for, by curve.</param>
    private sealed record Candidate(Offer Offer, int Rank, double[] HeldSeconds)
    {
        /// <summary>What a month costs by the curve that costs least: no way to pay costs less for more time.</summary>
        public decimal LeastCost { get; } = CostOf(Offer, HeldSeconds.Min());

        /// <summary>What a month costs.</summary>
        public decimal Cost(double heldSeconds) => CostOf(Offer, heldSeconds);

        private static decimal CostOf(Offer offer, double heldSeconds) => offer.Outcome.CostOfMonth(offer.Run.Plan, heldSeconds);
    }
}
