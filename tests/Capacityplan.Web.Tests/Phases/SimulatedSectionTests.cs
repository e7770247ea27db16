using AngleSharp.Dom;
using Bunit;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;
using Capacityplan.Web.Components.Charts;
using Capacityplan.Web.Components.Structure;
using Capacityplan.Web.Plans;

namespace Capacityplan.Web.Tests.Phases;

public sealed class SimulatedSectionTests : StructureTest
{
    private readonly SimulationTurns _turns = new();

    [Fact]
    public async Task Section_WithNothingToSimulate_IsEmpty()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel);
        await using SimulationSession simulation = Simulation();

        Assert.Equal("", Section(session, simulation).Markup.Trim());
        Assert.Equal("", Split(session, simulation).Markup.Trim());
    }

    [Fact]
    public async Task Section_OfWholeRuns_ShowsThreeChartsAndHowManyRuns()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel);
        await using SimulationSession simulation = Simulation();
        await ShowAsync(simulation, Order(session));
        IRenderedComponent<SimulatedSection> section = Section(session, simulation);

        Assert.Equal(["time-shares", "run-spread", "run-picture"], section.FindComponents<ChartFigure>().Select(chart => chart.Instance.Model.Name));
        Assert.Equal("200 of 200 runs", Words(section.Find("[role=status]")));
        Assert.DoesNotContain(section.FindAll("button"), button => button.TextContent is "Stop" or "Go on");
        Assert.Equal("Workers whose runs are simulated in detail", section.Find("input").GetAttribute("aria-label"));
        Assert.Equal("16", section.Find("input").GetAttribute("placeholder"));
        Assert.StartsWith("Runs are looked at on workers, each with a core to itself.", Words(section.Find("p.given")), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Section_StoppedHalfWay_SaysSoAndGoesOn()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel);
        await using SimulationSession simulation = Simulation();
        IRenderedComponent<SimulatedSection> section = Section(session, simulation);
        bool stopped = false;
        // On the working thread, which waits meanwhile: the section shows this very state.
        simulation.Changed += () =>
        {
            if (stopped || simulation.Detail is not { Runs.Count: >= 4 } detail)
                return;
            stopped = true;
            section.InvokeAsync(() =>
            {
                section.Render();
                Assert.Equal($"{detail.Runs.Count} of 200 runs", Words(section.Find("[role=status]")));
                Button(section, "Stop").Click();
            }).GetAwaiter().GetResult();
        };

        await ShowAsync(simulation, Order(session));
        Assert.Null(simulation.Fault);
        Assert.Equal(SimulationStage.Stopped, simulation.Stage);
        section.Render();
        Assert.StartsWith("Stopped: ", Words(section.Find("[role=status]")), StringComparison.Ordinal);

        Button(section, "Go on").Click();
        await simulation.WhenSettledAsync();
        section.Render();
        Assert.Equal("200 of 200 runs", Words(section.Find("[role=status]")));
    }

    [Fact]
    public async Task Section_InLine_SaysThatOthersComeFirst()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel);
        await using SimulationSession simulation = Simulation();
        using var gate = new ManualResetEventSlim();
        Task<bool>[] held = [Hold(gate), Hold(gate)];

        simulation.Show(Order(session));
        Assert.Equal("Waiting for its turn.", Words(Section(session, simulation).Find("[role=status]")));
        gate.Set();
        await Task.WhenAll([.. held, simulation.WhenSettledAsync()]);
    }

    [Fact]
    public async Task Section_OfASimulationThatFailed_SaysSo()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel);
        await using SimulationSession simulation = Simulation();
        // No page asks for the split of a serial phase; the simulation refuses it.
        await ShowAsync(simulation, Order(session) with { SplitPhase = 0 });

        Assert.StartsWith("The simulation failed on our side", Words(Section(session, simulation).Find("[role=alert]")), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Section_OfSerialPhasesOnly_IsShown()
    {
        await using PlanSession session = await SessionAsync(Serial);
        await using SimulationSession simulation = Simulation();
        await ShowAsync(simulation, Order(session));
        IRenderedComponent<SimulatedSection> section = Section(session, simulation);

        Assert.Equal(3, section.FindComponents<ChartFigure>().Count);
        Assert.Equal("", Split(session, simulation).Markup.Trim());
    }

    [Fact]
    public async Task Parts_OfTheRun_AreLookedAtUntilThereIsAnotherRun()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel);
        await using SimulationSession simulation = Simulation();
        await ShowAsync(simulation, Order(session));
        IRenderedComponent<SimulatedSection> section = Section(session, simulation);
        Assert.Equal(["Whole run"], Pressed(section));
        ChartAxis whole = Picture(section).X;

        Button(section, "End of grid").Click();
        Assert.Equal(["End of grid"], Pressed(section));
        Assert.Equal(whole.High, Picture(section).X.High, 1e-9);
        Assert.True(Picture(section).X.Low > 0.9 * whole.High);

        await ShowAsync(simulation, Order(session) with { Pool = new WorkerPool(4) });
        section.Render();
        Assert.Equal(["Whole run"], Pressed(section));
        Assert.Equal(0, Picture(section).X.Low);
    }

    [Fact]
    public async Task Workers_Typed_AreReadFromTheirBlank()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel);
        await using SimulationSession simulation = Simulation();
        await ShowAsync(simulation, Order(session));
        IRenderedComponent<SimulatedSection> section = Section(session, simulation);

        section.Find("input").Input("5000");
        await SettleAsync(session, section);
        Assert.Equal("true", section.Find("input").GetAttribute("aria-invalid"));
        Assert.NotEmpty(section.FindAll("p[role=alert]"));

        section.Find("input").Input("4");
        await SettleAsync(session, section);
        Assert.Equal(4, session.Reading.SimulatedWorkers);
        Assert.Empty(section.FindAll("p[role=alert]"));
    }

    [Fact]
    public async Task SplitSize_OfSeveralParallelPhases_IsPickedByName()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel, Parallel with { Name = "contour", EachTakes = "1 ms" });
        await using SimulationSession simulation = Simulation();
        await ShowAsync(simulation, Order(session));
        IRenderedComponent<SplitSizeFigure> figure = Split(session, simulation);

        IElement choice = Labelled(figure, "Phase whose split size is looked at");
        Assert.Equal(["grid", "contour"], choice.QuerySelectorAll("option").Select(option => option.TextContent));
        Assert.Equal("split-size", figure.FindComponent<ChartFigure>().Instance.Model.Name);
        choice.Change("2");

        Assert.Equal("3", session.Draft.SplitPhase);
    }

    [Fact]
    public async Task SplitSize_OfOneParallelPhase_NeedsNoChoice()
    {
        await using PlanSession session = await SessionAsync(Serial, Parallel);
        await using SimulationSession simulation = Simulation();
        using var gate = new ManualResetEventSlim();
        Task<bool>[] held = [Hold(gate), Hold(gate)];
        simulation.Show(Order(session));
        IRenderedComponent<SplitSizeFigure> figure = Split(session, simulation);

        Assert.Empty(figure.FindAll("select"));
        Assert.Equal("The best split size stands here once it has been simulated.", figure.Find("p.ghost").TextContent);
        simulation.Stop();
        figure.Render();
        Assert.Equal("The split sizes were not simulated.", figure.Find("p.ghost").TextContent);
        gate.Set();
        await Task.WhenAll(held);
    }

    protected override void Dispose(bool disposing)
    {
        base.Dispose(disposing);
        if (disposing)
            _turns.Dispose();
    }

    private static SimulationOrder Order(PlanSession session)
    {
        JobStructure structure = session.Result!.Plan.Structure!;
        int parallel = structure.Phases.ToList().FindIndex(phase => phase is ParallelPhase);
        return new SimulationOrder(structure, SimulatedPlace.Of(null, session.Result).Pool, parallel < 0 ? null : parallel);
    }

    private static async Task ShowAsync(SimulationSession simulation, SimulationOrder order)
    {
        simulation.Show(order);
        await simulation.WhenSettledAsync();
    }

    private static string[] Pressed(IRenderedComponent<SimulatedSection> section) =>
        [.. section.FindAll("[aria-pressed=true]").Select(button => button.TextContent)];

    private static ChartModel Picture(IRenderedComponent<SimulatedSection> section) =>
        section.FindComponents<ChartFigure>().Select(chart => chart.Instance.Model).Single(model => model.Name == "run-picture");

    private SimulationSession Simulation() => new(_turns, new(), Clock, TimeSpan.Zero);

    private Task<bool> Hold(ManualResetEventSlim gate) => _turns.TakeAsync(
        () =>
        {
            gate.Wait();
            return true;
        },
        CancellationToken.None);

    private IRenderedComponent<SimulatedSection> Section(PlanSession session, SimulationSession simulation) =>
        Render<SimulatedSection>(parameters => parameters.AddCascadingValue(session).AddCascadingValue(simulation));

    private IRenderedComponent<SplitSizeFigure> Split(PlanSession session, SimulationSession simulation) =>
        Render<SplitSizeFigure>(parameters => parameters.AddCascadingValue(session).AddCascadingValue(simulation));
}
