using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Core.Tests.Planning;

/// <summary>
/// The share of curves by which a choice stays, held against the plain way: every offer priced and timed by every curve looked at,
/// none passed over.
/// </summary>
public sealed class SteadyChoiceTests
{
    /// <summary>Two timings: how the job goes on past two cores is hardly known, so that curves differ by much on a large machine.</summary>
    private static readonly Plan s_hardlyKnown = new([new Timing(1, 6_000), new Timing(2, 3_100)])
    {
        MeasuredOn = new MeasuredOn { PhysicalCores = 8 },
        Window = new BatchWindow(5_000, 0.9),
    };

    [Fact]
    public void ShareOf_TheDemo_IsThatOfThePlainWay() => AssertPlain(TidemarkJob.Plan, TidemarkJob.Catalogue);

    /// <summary>A price that stays the same whatever the curve is more than twice that of a metered machine by the median curve, and
    /// below it by a slow one.</summary>
    [Fact]
    public void ShareOf_AMachineAtAFlatPriceFarDearerByTheMedian_CountsItWhereItIsCheaper()
    {
        MachineType metered = TidemarkJob.Machine("Wren-8", 8, 8, 1, 64, 45, 1);
        decimal run = Rank(s_hardlyKnown, Of(metered))[0].Outcome.CostPerRun;
        decimal far = 2.1m * run * (decimal)s_hardlyKnown.RunsPerMonth;
        MachineType flat = TidemarkJob.Machine("Heron-16", 16, 16, 1, 64, 45, 1) with
        {
            Purchase = [new TermPurchase { Currency = "EUR", PricePerMonth = far, Months = 12 }],
        };

        double share = AssertPlain(s_hardlyKnown, Of(metered, flat));

        Assert.InRange(share, 0.5, 0.999);
    }

    /// <summary>A machine of many cores is more than twice as dear by the median curve, and cheaper by one that scales to the end.</summary>
    [Fact]
    public void ShareOf_ALargeMachineFarDearerByTheMedian_CountsItWhereItIsCheaper()
    {
        MachineType small = TidemarkJob.Machine("Wren-4", 4, 4, 1, 64, 45, 1), large = TidemarkJob.Machine("Crane-128", 128, 128, 1, 64, 45, 15);
        Catalogue both = Of(small, large);
        ImmutableArray<Offer> ranked = Rank(s_hardlyKnown, both);
        Assert.True(ranked[1].Outcome.CostPerRun > 2 * ranked[0].Outcome.CostPerRun);

        double share = AssertPlain(s_hardlyKnown, both);

        Assert.InRange(share, 0.5, 0.999);
    }

    [Fact]
    public void ShareOf_ManyMachinesInAllWaysToPay_IsThatOfThePlainWay()
    {
        var random = new Random(7);
        MachineType[] machines =
        [
            .. Enumerable.Range(0, 40).Select(number =>
            {
                int cores = 1 << random.Next(0, 7);
                decimal price = decimal.Round((decimal)(cores * (0.05 + 0.15 * random.NextDouble())), 3);
                return TidemarkJob.Machine($"Wren-{number}", cores, cores, 0.8 + 0.5 * random.NextDouble(), 64, 45, price) with
                {
                    Purchase =
                    [
                        new MeteredPurchase { Currency = "EUR", PricePerHour = price },
                        new TermPurchase { Currency = "EUR", PricePerMonth = price * 300 * (decimal)random.NextDouble(), Months = 12 },
                        new InterruptiblePurchase { Currency = "EUR", PricePerHour = price * 0.4m, InterruptionsPerHour = 0.05, RestartSeconds = 60 },
                    ],
                };
            }),
        ];

        foreach (Plan plan in (Plan[])[s_hardlyKnown, TidemarkJob.Plan])
            AssertPlain(plan, Of(machines));
    }

    private static double AssertPlain(Plan plan, Catalogue catalogue)
    {
        ImmutableArray<Offer> ranked = Rank(plan, catalogue);
        Offer choice = ranked.First(offer => offer.IsAble && offer.Outcome.MeetsTarget);

        double share = SteadyChoice.ShareOf(ranked, choice, plan.Window!, CancellationToken.None);

        Assert.Equal(Plain(ranked, choice, plan), share);
        Assert.Equal(share, Planner.Evaluate(plan, catalogue, new PlannerSettings()).ShareChoiceStays);
        return share;
    }

    private static double Plain(ImmutableArray<Offer> ranked, Offer choice, Plan plan)
    {
        int[] draws = SteadyChoice.DrawsOf(choice.Run.DrawCount);
        int stays = draws.Count(draw => ranked
            .Where(offer => offer.IsAble && offer.Run.ChanceGiven(draw, plan.Window!) >= plan.Window!.TargetChance)
            .MinBy(offer => offer.Outcome.CostOfMonth(plan, offer.Run.HeldSecondsGiven(draw))) == choice);
        return (double)stays / draws.Length;
    }

    private static ImmutableArray<Offer> Rank(Plan plan, Catalogue catalogue)
    {
        var settings = new PlannerSettings();
        ScalingForecast scaling = Planner.Scale(plan, settings.Seed);
        var maker = new OfferMaker(plan, scaling, catalogue, settings);
        return Ranking.Rank(catalogue.Machines.SelectMany(machine => maker.Of(new MachineRuns(plan, scaling).On(machine))));
    }

    private static Catalogue Of(params MachineType[] machines) => new() { Name = "Birds", Machines = [.. machines] };
}
