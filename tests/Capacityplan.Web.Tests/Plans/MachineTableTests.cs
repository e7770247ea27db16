using System.Collections.Immutable;
using Bunit;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Capacityplan.Web.Components.Charts;
using Capacityplan.Web.Components.Sheet;
using Capacityplan.Web.Tests.Charts;

namespace Capacityplan.Web.Tests.Plans;

/// <summary>The manager's table: what it lists, in which order, and two of it side by side.</summary>
public sealed class MachineTableTests : BunitContext
{
    private static readonly DemoData s_demo = DemoData.Load();
    private static readonly Plan s_plan = PlanDraftReader.Read(s_demo.Plan with { Phases = [] }).Plan!;

    /// <summary>The demo's larger machines by the hour, for a term, and one that is owned; all invented.</summary>
    private static readonly PlanResult s_result = Worked(
    [
        .. s_demo.Catalogue.Machines.Select(machine => machine.Name.StartsWith("Wren", StringComparison.Ordinal)
            ? machine
            : machine with { Purchase = [.. machine.Purchase, new TermPurchase { Currency = "EUR", PricePerMonth = 250, Months = 12 }] }),
        s_demo.Catalogue.Machines.Single(machine => machine.Name == "Crane-48") with
        {
            Name = "Quay", Purchase = [new OwnedPurchase { Currency = "EUR", PurchasePrice = 4800, LifetimeMonths = 48 }],
        },
    ]);

    private static readonly PlanResult s_metered = Worked(s_demo.Catalogue.Machines);

    [Fact]
    public void Rows_ByDefault_AreOneAMachineInItsCheapestWayThatHolds()
    {
        MachineRows rows = new MachineView().RowsOf(s_result);

        Assert.Equal(s_result.Machines.Where(outcome => outcome.Fits).Select(outcome => outcome.Machine.Name).Distinct().Count(), rows.Rows.Length);
        Assert.All(rows.Rows, shown => Assert.DoesNotContain(s_result.Machines, other =>
            other.Machine == shown.Machine && other.MeetsTarget == shown.MeetsTarget && other.CostPerRun < shown.CostPerRun));
        Assert.Equal(rows.Rows.OrderBy(outcome => outcome.CostPerRun), rows.Rows);
        Assert.Equal(0, rows.NotYet);
    }

    [Fact]
    public void Rows_OfEveryWay_OrOfOne_AreThoseOffers()
    {
        MachineOutcome[] fitting = [.. s_result.Machines.Where(outcome => outcome.Fits)];

        Assert.Equal(fitting.Length, new MachineView { Way = MachineView.EveryWay }.RowsOf(s_result).Rows.Length);
        Assert.Equal(["metered", "on a term", "owned"], MachineView.WaysOf(s_result));
        Assert.All(new MachineView { Way = "on a term" }.RowsOf(s_result).Rows, outcome => Assert.IsType<TermPurchase>(outcome.Purchase));
        Assert.Equal("Quay", Assert.Single(new MachineView { Way = "owned" }.RowsOf(s_result).Rows).Machine.Name);
        Assert.Empty(MachineView.WaysOf(s_metered));
    }

    [Fact]
    public void Rows_Found_HoldingOrOnTheFrontier_AreThose()
    {
        Assert.All(new MachineView { Find = " heron " }.RowsOf(s_metered).Rows, outcome => Assert.StartsWith("Heron", outcome.Machine.Name, StringComparison.Ordinal));
        Assert.Equal(
            s_metered.Machines.Where(outcome => outcome.MeetsTarget).Select(outcome => outcome.Machine.Name).Order(),
            new MachineView { Shown = OffersShown.Holding }.RowsOf(s_metered).Rows.Select(outcome => outcome.Machine.Name).Order());
        Assert.All(new MachineView { Shown = OffersShown.Frontier }.RowsOf(s_metered).Rows, outcome => Assert.True(outcome.OnFrontier));
        Assert.Equal(12, new MachineView { ShowUnfit = true }.RowsOf(s_metered).Rows.Length);
        Assert.Equal((0, 10), (new MachineView { Find = "none such" }.RowsOf(s_metered).Rows.Length, new MachineView { Find = "none such" }.RowsOf(s_metered).Considered));
    }

    [Fact]
    public void Rows_OfALongCatalogue_AreCutUntilAllAreAskedFor()
    {
        PlanResult many = s_metered with
        {
            Machines = [.. Enumerable.Range(0, 100).Select(at => s_metered.Machines[0] with { Machine = s_metered.Machines[0].Machine with { Name = $"Wren {at}" } })],
        };

        Assert.Equal((MachineView.FirstRows, 100 - MachineView.FirstRows), (new MachineView().RowsOf(many).Rows.Length, new MachineView().RowsOf(many).NotYet));
        Assert.Equal(100, new MachineView { ShowEvery = true }.RowsOf(many).Rows.Length);
    }

    [Theory]
    [InlineData(MachineColumn.Time)]
    [InlineData(MachineColumn.Month)]
    [InlineData(MachineColumn.Chance)]
    public void Rows_SortedEitherWay_AreEachOthersReverseInWhatTheyAreSortedBy(MachineColumn column)
    {
        double Of(MachineOutcome outcome) => column switch
        {
            MachineColumn.Time => outcome.StartToFinishSeconds.Median,
            MachineColumn.Month => (double)outcome.CostPerMonth,
            _ => outcome.ChanceInWindow!.Value,
        };
        double[] up = [.. new MachineView { Sort = new(column, false) }.RowsOf(s_result).Rows.Select(Of)];
        double[] down = [.. new MachineView { Sort = new(column, true) }.RowsOf(s_result).Rows.Select(Of)];

        Assert.Equal(up.Order(), up);
        Assert.Equal(up.Reverse(), down);
    }

    [Fact]
    public void Two_Pinned_StandSideBySide_AndAThirdTakesTheFirstOnesPlace()
    {
        IRenderedComponent<MachineTable> table = Render<MachineTable>(parameters => parameters.Add(shown => shown.Result, s_metered));

        Pin(table, "Pin Heron-16");
        Assert.Contains("pin another", table.Find(".pinned").TextContent, StringComparison.Ordinal);
        Pin(table, "Pin Heron-32");

        MachineOutcome first = Outcome("Heron-16"), second = Outcome("Heron-32");
        string[] month = [.. table.FindAll(".pinned tbody tr").Single(row => row.QuerySelector("th")!.TextContent == "a month").QuerySelectorAll("td").Select(cell => cell.TextContent)];
        Assert.Equal(
            [Figures.MoneyOfMonth(first.CostPerMonth, "EUR"), Figures.MoneyOfMonth(second.CostPerMonth, "EUR"), "+" + Figures.MoneyOfMonth(second.CostPerMonth - first.CostPerMonth, "EUR")],
            month);
        Assert.StartsWith("Heron-32 ends ", table.Find("#pinned-title").TextContent, StringComparison.Ordinal);
        Assert.Contains("sooner than Heron-16", table.Find("#pinned-title").TextContent, StringComparison.Ordinal);

        Pin(table, "Pin Crane-192");
        Assert.Equal(["Heron-32", "Crane-192"], table.FindAll(".pinned thead th.num").Take(2).Select(head => head.FirstChild!.TextContent.Trim()));

        Pin(table, "Unpin Crane-192, beside the other");
        Pin(table, "Unpin Heron-32");
        Assert.Empty(table.FindAll(".pinned"));
    }

    [Fact]
    public void Search_ThatFindsNothing_SaysSoAndGoesBack()
    {
        IRenderedComponent<MachineTable> table = Render<MachineTable>(parameters => parameters.Add(shown => shown.Result, s_metered));

        table.Find("input.blank").Input("osprey");
        Assert.Contains("None of 10 machines is like that", table.Find(".ghost").TextContent, StringComparison.Ordinal);
        table.FindAll("button").Single(button => button.TextContent == "List all that fit").Click();

        Assert.Equal(10, table.FindAll("tbody tr").Count);
        Assert.Equal("", table.Find("input.blank").GetAttribute("value"));
    }

    [Fact]
    public void SideBySide_InTwoCurrencies_ComparesTimeOnly()
    {
        MachineOutcome first = Outcome("Heron-16"), other = Outcome("Heron-32") with { Currency = "USD" };

        Assert.EndsWith("their prices are in different currencies", SideBySide.Finding(first, other), StringComparison.Ordinal);
        Assert.Equal("", SideBySide.Of(s_plan, [first, other]).Single(line => line.Figure == "a month").Difference);
    }

    [Fact]
    public void BreakEven_IsDrawnWhereTheLinesOfTheWaysToPayCross()
    {
        ChartModel chart = BreakEvenChart.Build(s_result)!;

        ChartSoundness.AssertSound(chart);
        BreakEven pair = s_result.BreakEvens!.Pairs.First(pair => pair.One.Machine == pair.Other.Machine && pair.RunsPerMonth is not null);
        // By hand: the term costs 250 whatever runs, the meter what a run costs each time.
        Assert.Equal(250m / Outcome(s_result, s_result.Verdict.Choice!.Machine.Name, MeteredPurchase.KindName).CostOfOneMoreRun, pair.RunsPerMonth!.Value, 6);
        Assert.Contains(chart.Measured, point => Math.Abs(point.X - (double)pair.RunsPerMonth.Value) < 1e-6 && Math.Abs(point.Y - 250) < 1e-6);
        Assert.Equal(chart.Lines.Count, chart.Table.Rows.Count);
        Assert.Equal(s_plan.RunsPerMonth, Assert.Single(chart.Uprights).X);
    }

    [Fact]
    public void BreakEven_OfOneWayToPay_IsNotDrawn() => Assert.Null(BreakEvenChart.Build(s_metered));

    [Fact]
    public void Charts_OfHundredsOfOffers_DrawTheChoiceTheFrontierAndAFewMore()
    {
        PlanResult many = Worked(
        [
            .. Enumerable.Range(0, 10).SelectMany(at => s_demo.Catalogue.Machines.Select(machine => machine with { Name = $"{machine.Name}{at}", RelativeCoreSpeed = machine.RelativeCoreSpeed * (1 + 0.003 * at) })),
        ]);

        ChartModel chart = CostChart.Build(many);

        Assert.InRange(chart.Marks.Count, 10, 30);
        Assert.Contains(chart.Marks, mark => mark.State == MachineState.Chosen);
        Assert.All(many.Machines.Where(outcome => outcome.OnFrontier), outcome => Assert.Contains(chart.Marks, mark => mark.Label.Name == outcome.Machine.Name));
        Assert.Contains("more offers stand in the table only", chart.Subtitle, StringComparison.Ordinal);
    }

    private static PlanResult Worked(ImmutableArray<MachineType> machines) =>
        Planner.Evaluate(s_plan, new Catalogue { Name = "test", Machines = machines }, new PlannerSettings { SimulateNextRuns = false });

    private static MachineOutcome Outcome(string name) => s_metered.Machines.Single(outcome => outcome.Machine.Name == name);

    private static MachineOutcome Outcome(PlanResult result, string name, string kind) =>
        result.Machines.Single(outcome => outcome.Machine.Name == name && outcome.Purchase.Kind == kind);

    private static void Pin(IRenderedComponent<MachineTable> table, string label) =>
        table.FindAll("button").Single(button => button.GetAttribute("aria-label") == label).Click();
}
