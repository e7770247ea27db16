using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Tests.Charts;

public sealed class MachineSizeChartTests
{
    private static readonly PlanResult s_result = SampleResult.Whole();

    [Fact]
    public void Marks_StandAtTheirCoresWorthAndCost()
    {
        ChartModel chart = MachineSizeChart.Build(s_result);

        Assert.Equal(
            s_result.Machines.Where(outcome => outcome.Fits).Select(outcome => (outcome.Machine.Name, outcome.EffectiveCores, (double)outcome.CostPerRun)),
            chart.Marks.Select(mark => (mark.Label.Name, mark.Point.X, mark.Point.Y)));
        Assert.Equal(AxisScale.Logarithmic, chart.X.Scale);
        Assert.Equal(["8", "16", "32", "64", "128"], chart.X.Ticks.Select(tick => tick.Label).Where(label => label != "4"));
    }

    [Fact]
    public void Marks_AreHollowWhereTheWindowIsMissed_AndOneIsChosen()
    {
        var states = MachineSizeChart.Build(s_result).Marks.ToDictionary(mark => mark.Label.Name, mark => mark.State);

        Assert.Equal(MachineState.Chosen, states["Heron-16"]);
        Assert.Equal(MachineState.Good, states["Wren-32"]);
        Assert.Equal(MachineState.Out, states["Heron-8"]);
        Assert.Equal("Heron-16, €1.01", MachineSizeChart.Build(s_result).Marks.Single(mark => mark.Text is not null).Text);
    }

    [Fact]
    public void Lines_JoinAFamilyInOrderOfSize()
    {
        ChartModel chart = MachineSizeChart.Build(s_result);

        Assert.Equal(["Crane", "Heron", "Wren"], chart.Lines.Select(line => line.Label).Order());
        Assert.All(chart.Lines, line => Assert.Equal(line.Points.OrderBy(point => point.X), line.Points));
        Assert.Equal(4, chart.Lines.Single(line => line.Label == "Heron").Points.Count);
    }

    [Theory]
    [InlineData(3600.0, "Below ten cores' worth the window is missed; above it a run costs up to 4.0 times as much")]
    [InlineData(null, "A run costs least on Heron-8, €0.89, and most on Crane-192, €4.09")]
    public void Title_StatesTheFinding(double? windowSeconds, string title) =>
        Assert.Equal(title, MachineSizeChart.Build(SampleResult.Whole(windowSeconds)).Title);

    [Fact]
    public void WithoutMachines_SaysWhy() =>
        Assert.Equal("Add one to the catalogue.", MachineSizeChart.Build(SampleResult.Whole(machines: [])).Message!.Then);
}
