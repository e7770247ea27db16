using System.Globalization;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Reading;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Planning;

public sealed class GraphScalingTests
{
    private static readonly Catalogue s_none = new() { Name = "none", Machines = [] };

    private static readonly GraphJob s_job = new(Read("montage-chameleon-dss-05d-001.json"), new SchedulingCosts());

    private static readonly IReadOnlyList<SimulatedPool> s_pools = GraphForecastRuns.Run(s_job, seed: 1, threads: 1);

    [Fact]
    public void Curve_BeforeAnythingIsSimulated_IsTheGreedyBound()
    {
        foreach (double cores in new[] { 1, 2.5, 8, 64, 3000 })
        {
            double expected = (s_job.Graph.WorkSeconds - s_job.Graph.SpanSeconds) / cores + s_job.Graph.SpanSeconds;
            RunTimeParts parts = new GraphScaling(s_job, seed: 1, draws: 10).Parts(cores);
            Assert.Equal(expected, parts.WorkSeconds + parts.SpanSeconds + parts.OverheadSeconds, 1e-5 * expected);
        }
    }

    [Fact]
    public void Curve_Simulated_GoesThroughTheMeansOfTheRuns()
    {
        var scaling = new GraphScaling(s_job, seed: 1, s_pools);

        Assert.True(scaling.IsSimulated);
        foreach (SimulatedPool pool in s_pools)
        {
            double mean = pool.MakespanSeconds.Mean;
            RunTimeParts parts = scaling.Parts(pool.Pool.Workers);
            Assert.Equal(mean, parts.WorkSeconds + parts.SpanSeconds + parts.OverheadSeconds, 1e-9 * mean);
            double[] seconds = new double[scaling.DrawCount];
            scaling.CurveSeconds(pool.Pool.Workers, seconds);
            Array.Sort(seconds);
            Assert.Equal(mean, seconds[seconds.Length / 2], 0.05 * mean);
        }
    }

    [Theory]
    [InlineData(1.7)]
    [InlineData(3)]
    [InlineData(24)]
    [InlineData(700)]
    [InlineData(5000)]
    public void Curve_BetweenAndPastThePools_KeepsTheLaws(double cores)
    {
        RunTimeParts parts = new GraphScaling(s_job, seed: 1, s_pools, draws: 10).Parts(cores);
        double seconds = parts.WorkSeconds + parts.SpanSeconds + parts.OverheadSeconds;

        Assert.True(seconds >= Math.Max(s_job.WorkSeconds / cores, s_job.SpanSeconds) * (1 - 1e-12));
        Assert.True(seconds <= (s_job.WorkSeconds - s_job.SpanSeconds) / cores + s_job.SpanSeconds * 1.001);
    }

    [Fact]
    public void Plan_OfAGraphAlone_IsAnswered()
    {
        var plan = new Plan([], graph: s_job);

        PlanResult result = Planner.Evaluate(plan, s_none, new PlannerSettings(), Planner.Scale(plan, simulated: s_pools));

        Assert.Equal(ForecastBasis.TaskGraph, result.Forecast.Basis);
        Assert.Equal("task graph, simulated", result.Forecast.Models[0].Name);
        Assert.Equal(s_job.Graph.WorkSeconds, result.Forecast.WorkSeconds, 0.01 * s_job.Graph.WorkSeconds);
        Assert.Equal(s_job.Graph.SpanSeconds, result.Forecast.SpanSeconds, 0.01 * s_job.Graph.SpanSeconds);
        Assert.Contains(result.Problems, problem => problem.Path == "job.graph" && problem.Severity == ProblemSeverity.Note);
        Assert.True(Planner.ScalesAlike(plan, plan with { GrowthPerMonth = 0.1 }));
        Assert.False(Planner.ScalesAlike(plan, new Plan([], graph: new GraphJob(s_job.Graph, s_job.Costs with { ForkSeconds = 1 }))));
    }

    // Timings on machines half as fast as the durations say.
    [Fact]
    public void Plan_OfAGraphAndTimings_IsCalibrated()
    {
        Timing[] timings = [.. new[] { 1, 2, 4, 8 }.Select(cores => new Timing(cores, 2 * s_pools.Single(pool => pool.Pool.Workers == cores).MakespanSeconds.Mean))];
        var plan = new Plan([.. timings], graph: s_job);

        PlanResult result = Planner.Evaluate(plan, s_none, new PlannerSettings(), Planner.Scale(plan, simulated: s_pools));

        Assert.Equal(ForecastBasis.CalibratedTaskGraph, result.Forecast.Basis);
        Calibration calibration = result.Forecast.Calibration!;
        Assert.Equal(2, calibration.WorkFactor.Median, 0.1);
        Assert.StartsWith("Timings and tasks agree within", calibration.Statement, StringComparison.Ordinal);
        Assert.Contains(result.Problems, problem => problem.Path == "job.graph" && problem.Message == calibration.Statement);
    }

    [Fact]
    public void Plan_OfAGraphAndPhases_SaysHowTheyAgree()
    {
        var phases = new JobStructure([new SerialPhase("all", s_job.WorkSeconds * 3)]);

        PlanResult result = Planner.Evaluate(new Plan([], structure: phases, graph: s_job), s_none, new PlannerSettings());

        Assert.Equal(ForecastBasis.TaskGraph, result.Forecast.Basis);
        Assert.Contains(result.Problems, problem => problem is { Path: "job.structure", Severity: ProblemSeverity.Warning });
    }

    [Fact]
    public void Draft_WithAPastedGraph_IsAPlanAndWithABrokenOneWaits()
    {
        var draft = new PlanDraft { GraphText = "id,seconds,parents\na,60,\nb,30,a\n" };

        PlanDraftReading reading = PlanDraftReader.Read(draft);
        Assert.Equal(90, reading.Plan!.Graph!.Graph.SpanSeconds);
        Assert.Same(reading.Plan.Graph.Graph, PlanDraftReader.Read(draft with { Growth = "1 %" }, graph: reading.Graph).Plan!.Graph!.Graph);

        PlanDraftReading broken = PlanDraftReader.Read(draft with { GraphText = "id,seconds,parents\na,60,b\nb,30,a\n" }, graph: reading.Graph);
        Assert.Null(broken.Plan);
        Assert.Equal(PlanQuestion.Correction, broken.Question);
        Assert.Equal(nameof(PlanDraft.GraphText), broken.Blanks[0].Path);
        Assert.StartsWith("Task graph, line 2: Tasks wait for each other", broken.Blanks[0].Message, StringComparison.Ordinal);

        PlanDraftReading costless = PlanDraftReader.Read(draft with { StealAttempt = "0 s" });
        Assert.Equal(nameof(PlanDraft.StealAttempt), costless.Blanks[0].Path);
    }

    [Fact]
    public void Draft_WhoseFileIsNotReadYet_Waits()
    {
        var draft = new PlanDraft { GraphFile = "key", GraphFileName = "night.csv", TimingsText = "1 core: 10 s\n2 cores: 6 s" };

        PlanDraftReading reading = PlanDraftReader.Read(draft);
        Assert.Equal(PlanQuestion.GraphFile, reading.Question);
        Assert.NotNull(reading.Waiting);

        var graph = new DraftGraph("key", "", TaskGraphReader.Read("id,seconds\na,5\n"));
        Assert.Equal(5, PlanDraftReader.Read(draft, graph: graph).Plan!.Graph!.Graph.WorkSeconds);
    }

    [Fact]
    public void Study_OfAGraph_NamesThePathAndWhatShorteningGains()
    {
        TaskGraph graph = TaskGraphReader.Read("id,seconds,parents\na,10,\nb_1,50,a\nb_2,48,a\nc,2,b_1 b_2\n").Graph!;

        GraphStudy study = GraphStudy.Of(new GraphJob(graph, new SchedulingCosts()));

        Assert.Equal(["a", "b_1", "c"], study.CriticalPath.Select(task => graph.Id(task.Task)));
        // A tenth of 10; of 50 only the 2 until the other chain is as long; a tenth of 2.
        Assert.Equal([1, 2, 0.2], study.CriticalPath.Select(task => task.SpanGainSeconds));
        Assert.Equal(50 / 62.0, study.CriticalPath[1].SpanShare, 1e-12);
        Assert.Equal(["b", "a", "c"], study.Kinds.Names);
    }

    private static TaskGraph Read(string name) =>
        TaskGraphReader.Read(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "reference", "workflows", name))).Graph
        ?? throw new InvalidDataException(string.Create(CultureInfo.InvariantCulture, $"{name} cannot be read."));
}
