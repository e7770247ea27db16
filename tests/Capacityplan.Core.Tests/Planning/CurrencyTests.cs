using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using static Capacityplan.Core.Tests.Planning.WaysToPay;

namespace Capacityplan.Core.Tests.Planning;

/// <summary>Prices in several currencies; the rates are invented.</summary>
public sealed class CurrencyTests
{
    private static readonly ScalingForecast s_scaling = Planner.Scale(TidemarkJob.Plan);

    private static readonly ImmutableArray<MachineType> s_machines =
        [Offered("Heron-16", Metered(1.50m)), Offered("Wren-32", Metered(3.14m)), Offered("Heron-32", Metered(1.60m, "USD"))];

    [Fact]
    public void Evaluate_WithARate_ComparesAllInTheCommonestCurrency_AndSaysSo()
    {
        PlanResult result = Evaluate(new CurrencyRate { From = "USD", To = "EUR", Rate = 0.5m, TakenOn = new DateOnly(2026, 11, 3) });
        MachineOutcome heron = result.Machines.Single(outcome => outcome.Machine.Name == "Heron-32");

        Assert.Equal("Heron-32", result.Verdict.Choice!.Machine.Name);
        Assert.Equal(("EUR", 0.5m), (heron.Currency, heron.Rate));
        // By the second at 1.60 an hour, and half of that in euros.
        Assert.Equal((decimal)Math.Ceiling(heron.StartToFinishSeconds.Median) * 1.60m / 3600m * 0.5m, heron.CostPerRun);
        Problem note = result.Problems.Single(problem => problem.Path == "rates");
        Assert.Equal("Prices in USD are converted to EUR at the rate of 3 Nov 2026: 1 USD is 0.5 EUR. Check it before buying.", note.Message);
        Assert.DoesNotContain(result.Problems, problem => problem.Path == "machines");
        Assert.Equal("EUR", GrowthOutlook.Of(result, s_scaling).Currency);
        Assert.Equal("Heron-32", GrowthOutlook.Of(result, s_scaling).Path[0].Outcome!.Machine.Name);
    }

    [Fact]
    public void Evaluate_WithTheRateTheOtherWay_IsTheSame()
    {
        PlanResult one = Evaluate(new CurrencyRate { From = "USD", To = "EUR", Rate = 0.5m, TakenOn = new DateOnly(2026, 11, 3) });
        PlanResult other = Evaluate(new CurrencyRate { From = "EUR", To = "USD", Rate = 2, TakenOn = new DateOnly(2026, 11, 3) });

        Assert.Equal(one.Machines.Select(outcome => outcome.CostPerRun), other.Machines.Select(outcome => outcome.CostPerRun));
    }

    [Fact]
    public void Evaluate_WithoutARate_LeavesTheOtherCurrencyOut()
    {
        PlanResult result = Evaluate(new CurrencyRate { From = "GBP", To = "EUR", Rate = 1.2m, TakenOn = new DateOnly(2026, 11, 3) });
        MachineOutcome heron = result.Machines.Single(outcome => outcome.Machine.Name == "Heron-32");

        Assert.Equal("Heron-16", result.Verdict.Choice!.Machine.Name);
        Assert.Equal("USD", heron.Currency);
        Assert.Equal("Priced in USD: without a rate it is not compared with the others.", heron.Why);
        Assert.Contains(result.Problems, problem => problem is { Path: "machines", Severity: ProblemSeverity.Warning });
    }

    [Fact]
    public void RateFor_OfSeveralForAPair_TakesTheLast()
    {
        Catalogue catalogue = CatalogueOf([]) with
        {
            Rates =
            [
                new CurrencyRate { From = "USD", To = "EUR", Rate = 0.5m, TakenOn = new DateOnly(2026, 1, 1) },
                new CurrencyRate { From = "EUR", To = "USD", Rate = 4, TakenOn = new DateOnly(2026, 11, 3) },
            ],
        };

        Assert.Equal((0.25m, 4m, 1m), (catalogue.RateFor("USD", "EUR"), catalogue.RateFor("EUR", "USD"), catalogue.RateFor("EUR", "EUR")));
        Assert.Null(catalogue.RateFor("EUR", "GBP"));
    }

    [Fact]
    public void Evaluate_OfTheLargestPricesRunsAndRates_StillAnswers()
    {
        Plan plan = TidemarkJob.Plan with { RunsPerMonth = PurchaseOption.MostRuns, PriceFactor = 1_000, Window = new BatchWindow(1e9) };
        PlanResult result = Planner.Evaluate(
            plan with { InputFactor = 1e6 },
            CatalogueOf(Offered("Heron-16", Metered(1e9m)), Offered("Heron-32", Metered(1e9m), Interruptible(1e9m, 3_600)), Offered("Crane-48", Metered(1e9m, "USD"))) with
            {
                Rates = [new CurrencyRate { From = "USD", To = "EUR", Rate = CurrencyRate.MostRate, TakenOn = new DateOnly(2026, 11, 3) }],
            },
            new PlannerSettings(), s_scaling);

        Assert.Equal(4, result.Machines.Length);
        Assert.True(GrowthOutlook.Of(result, s_scaling).Total >= 0);
        Assert.NotNull(Sensitivity.Of(result, s_scaling));
    }

    private static PlanResult Evaluate(CurrencyRate rate) =>
        Planner.Evaluate(TidemarkJob.Plan, CatalogueOf(s_machines) with { Rates = [rate] }, new PlannerSettings(), s_scaling);
}
