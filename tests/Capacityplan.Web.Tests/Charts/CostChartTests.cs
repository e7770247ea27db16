using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Tests.Charts;

public sealed class CostChartTests
{
    private static readonly PlanResult s_result = SampleResult.Whole();

    [Fact]
    public void Marks_AreTheMachinesThatFit_WhereTheirTimeAndCostAre()
    {
        ChartModel chart = CostChart.Build(s_result);

        MachineOutcome[] fitting = [.. s_result.Machines.Where(outcome => outcome.Fits)];
        Assert.Equal(10, fitting.Length);
        Assert.Equal(
            fitting.Select(outcome => (outcome.Machine.Name, outcome.StartToFinishSeconds.Median, (double)outcome.CostPerRun, outcome.StartToFinishSeconds.Low, outcome.StartToFinishSeconds.High)),
            chart.Marks.Select(mark => (mark.Label.Name, mark.Point.X, mark.Point.Y, mark.Whiskers!.Value.Low, mark.Whiskers.Value.High)));
    }

    [Fact]
    public void Marks_TellChosenFrontierAndTheRest()
    {
        var states = CostChart.Build(s_result).Marks.ToDictionary(mark => mark.Label.Name, mark => mark.State);

        Assert.Equal(MachineState.Chosen, states["Heron-16"]);
        Assert.Equal(MachineState.Good, states["Heron-32"]);
        Assert.Equal(MachineState.Good, states["Crane-192"]);
        // Dearer and slower than another; too slow for the window.
        Assert.Equal(MachineState.Out, states["Wren-32"]);
        Assert.Equal(MachineState.Out, states["Wren-8"]);
        Assert.DoesNotContain("Wren-4", states.Keys);
    }

    [Fact]
    public void Frontier_IsAStaircaseDownToTheChoice()
    {
        ChartModel chart = CostChart.Build(s_result);

        ValueList<ChartPoint> stairs = Assert.Single(chart.Lines).Points;
        MachineOutcome fastest = s_result.Machines.Single(outcome => outcome.Machine.Name == "Crane-192");
        Assert.Equal(new(fastest.StartToFinishSeconds.Median, (double)fastest.CostPerRun), stairs[0]);
        Assert.Equal(new(s_result.Verdict.Choice!.StartToFinishSeconds.Median, (double)s_result.Verdict.Choice.CostPerRun), stairs[^1]);
        Assert.All(stairs.Zip(stairs.Skip(1)), step =>
        {
            Assert.True(step.First.X == step.Second.X || step.First.Y == step.Second.Y);
            Assert.True(step.Second.X >= step.First.X && step.Second.Y <= step.First.Y);
        });
    }

    [Theory]
    [InlineData(3600.0, "Heron-16 is the cheapest inside the window; the next faster machine costs a quarter more")]
    [InlineData(1080.0, "No machine holds the 18\u00A0min window; Crane-192 comes closest")]
    [InlineData(null, "From €0.89 in 71\u00A0min on Heron-8 to €4.09 in 16\u00A0min on Crane-192")]
    public void Title_StatesTheFinding(double? windowSeconds, string title) =>
        Assert.Equal(title, CostChart.Build(SampleResult.Whole(windowSeconds)).Title);

    [Fact]
    public void Title_WhereNothingFasterHolds_EndsEarly()
    {
        PlanResult result = SampleResult.Whole(machines: SampleResult.Catalogue.Where(machine => machine.Name is "Heron-16" or "Wren-8"));

        Assert.Equal("Heron-16 is the cheapest inside the window", CostChart.Build(result).Title);
    }

    [Fact]
    public void HeavyNight_OfTheChoice_IsMarkedWithWhatIsLeft()
    {
        ChartModel chart = CostChart.Build(s_result);

        MachineMark marked = Assert.Single(chart.Marks, mark => mark.Heavy is not null);
        Assert.Equal("Heron-16", marked.Label.Name);
        Assert.Equal(s_result.Verdict.Choice!.HeavyStartToFinishSeconds!.Value.Median, marked.Heavy);
        Assert.Equal("20\u00A0min to spare, 3.0 on heavy nights", Assert.Single(chart.Notes).Text);
        Assert.Equal("20\u00A0min to spare", Assert.Single(CostChart.Build(SampleResult.Whole(heavyShare: 0)).Notes).Text);
    }

    [Fact]
    public void Readout_OfAMachine_SaysTimeCostAndChance()
    {
        Readout readout = Assert.Single(CostChart.Build(s_result).Readouts, readout => readout.Text.StartsWith("Heron-32", StringComparison.Ordinal));

        Assert.Equal("Heron-32: 25\u00A0min (24 to 26), €1.26 a run; holds more than 99 of 100 nights.", readout.Text);
    }

    [Fact]
    public void Axis_NamesItsUnit_AndTheWindowHasItsTick()
    {
        ChartModel chart = CostChart.Build(s_result);

        Assert.Equal("start to finish, minutes", chart.X.Title);
        Assert.Equal(AxisScale.Linear, chart.X.Scale);
        Assert.Equal(("60", 3600), chart.X.Ticks.Where(tick => tick.IsWindow).Select(tick => (tick.Label, tick.Value)).Single());
        Assert.Equal(["20", "30", "40", "50", "60", "70"], chart.X.Ticks.Select(tick => tick.Label).Where(label => label != "10" && label != "80"));
        Assert.True(chart.Window!.IsVertical);
    }

    [Fact]
    public void Axis_OverTimesFarApart_IsLogarithmic()
    {
        MachineType slow = SampleResult.Machine("Snail-1", 1, 1, 0.2, 64, 45, 0.05m);

        ChartModel chart = CostChart.Build(SampleResult.Whole(machines: SampleResult.Catalogue.Append(slow)));

        Assert.Equal(AxisScale.Logarithmic, chart.X.Scale);
        Assert.Equal("start to finish, hours", chart.X.Title);
        Assert.Contains("(logarithmic)", chart.Subtitle, StringComparison.Ordinal);
    }

    [Fact]
    public void Machines_InAnotherCurrency_AreLeftOutAndCounted()
    {
        MachineType other = SampleResult.Machine("Finch-16", 16, 8, 1.22, 64, 45, 2.50m, "USD");

        ChartModel chart = CostChart.Build(SampleResult.Whole(machines: SampleResult.Catalogue.Append(other)));

        Assert.DoesNotContain(chart.Marks, mark => mark.Label.Name == "Finch-16");
        Assert.EndsWith(" 1 machine priced in another currency is left out.", chart.Subtitle, StringComparison.Ordinal);
    }

    [Fact]
    public void FreeMachines_AreDrawnOnAPlainAxisFromZero()
    {
        ChartModel chart = CostChart.Build(SampleResult.Whole(machines: [SampleResult.Machine("Wren-16", 16, 16, 0.85, 64, 45, 0m)]));

        Assert.Equal(AxisScale.Linear, chart.Y.Scale);
        Assert.True(chart.Y.Low < 0 && chart.Y.High > 0);
        Assert.All(chart.Marks, mark => Assert.Equal(0, mark.Point.Y));
    }

    [Fact]
    public void Table_HasTheSameFigures()
    {
        ChartTable table = CostChart.Build(s_result).Table;

        TableRow chosen = Assert.Single(table.Rows, row => row.IsChosen);
        Assert.Equal(
            ["machine", "cores' worth", "start to finish", "8 nights in 10", "heavy night", "nights held, of 100", "a run", "on the frontier"], table.Columns);
        Assert.Equal(["Heron-16", "10", "40\u00A0min", "38 to 42\u00A0min", "57\u00A0min", "99+", "€1.01", "yes"], chosen.Cells);
        Assert.Equal(10, table.Rows.Count);
    }

    [Fact]
    public void WithoutMachines_SaysWhy()
    {
        Assert.Equal("No machine to price.", CostChart.Build(SampleResult.Whole(machines: [])).Message!.Text);
        Assert.Equal("No machine has the memory this job needs.", CostChart.Build(SampleResult.Whole(needsGiB: 9_999)).Message!.Text);
        Assert.Equal("No run time to price yet.", CostChart.WithoutResult().Message!.Text);
    }

    [Fact]
    public void Name_OfAMachinePaidInSeveralWays_SaysWhich()
    {
        MachineOutcome first = s_result.Machines.First(outcome => outcome.Machine.Name == "Heron-32");
        PlanResult result = s_result with { Machines = [.. s_result.Machines, first with { CostPerRun = first.CostPerRun * 2 }] };

        Assert.Equal(2, CostChart.Build(result).Marks.Count(mark => mark.Label.Name == "Heron-32, metered"));
    }
}
