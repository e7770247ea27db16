using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Planning;

public sealed class WhatIfTests
{
    private static readonly ScalingForecast s_measured = Planner.Scale(TidemarkJob.Plan);

    private static readonly Plan s_stated = new([], new WorkAndSpan(800, 40, 4_000, new SchedulingCosts { ForkSeconds = 0, JoinSeconds = 0 }));

    private static readonly JobStructure s_phases = new(
        [new SerialPhase("read", 60), new ParallelPhase("grid", 20_000, new ExponentialSizes(0.05), 4, new SchedulingCosts { ForkSeconds = 1e-4, JoinSeconds = 1e-4 })]);

    public static TheoryData<string> Kinds => ["measured", "stated", "phases", "calibrated"];

    [Theory]
    [MemberData(nameof(Kinds))]
    public void CurveParts_OfEveryKindOfForecast_AddUpToItsCurves(string kind)
    {
        ScalingForecast scaling = Scaling(kind);
        double[] seconds = new double[scaling.DrawCount];
        var parts = new CurveParts[scaling.DrawCount];
        foreach (double cores in (double[])[1, 3, 10, 64])
        {
            scaling.CurveSeconds(cores, seconds);
            scaling.CurveParts(cores, parts);
            Assert.All(parts.Zip(seconds), pair =>
            {
                Assert.Equal(pair.Second, pair.First.Seconds, 1e-9 * pair.Second);
                Assert.True(pair.First is { EvenSeconds: > 0, WaitingSeconds: >= 0 });
                Assert.True(pair.First.OverheadSeconds >= -1e-9 * pair.Second);
            });
            Assert.True(cores > 1 || parts.All(part => part.WaitingSeconds < 1e-9 * part.EvenSeconds));
        }
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public void LeveredScaling_WithLeversAtOne_IsTheCurvesItWasMadeOf(string kind)
    {
        ScalingForecast scaling = Scaling(kind);
        var same = new LeveredScaling(scaling, new CurveLevers());
        foreach (double cores in (double[])[1, 10, 64])
        {
            Assert.Equal(scaling.At(cores).Quantile(0.5), same.At(cores).Quantile(0.5), 1e-9 * scaling.At(cores).Quantile(0.5));
            RunTimeParts was = scaling.Parts(cores), becomes = same.Parts(cores);
            Assert.Equal(was.WorkSeconds, becomes.WorkSeconds, 1e-9);
            Assert.Equal(was.SpanSeconds + was.SerialSeconds, becomes.SpanSeconds + becomes.SerialSeconds, 1e-9 + 1e-9 * was.SpanSeconds);
        }
    }

    [Fact]
    public void Span_OfStatedWorkAndSpan_FollowsTheGreedyBound()
    {
        // (T1 - T_inf)/p + T_inf (Brent 1974; Graham 1966) with T_inf halved and T1 as it was: at 8 cores 800/8 + 20 (1 - 1/8).
        ScalingForecast halved = new WhatIf { Span = 0.5 }.Of(s_stated, Planner.Scale(s_stated));
        double steals = StealOverhead.ExpectedSeconds(s_stated.WorkAndSpan!, 8).StealingSeconds;

        // The curves differ by what is assumed of work and span: 3 % and 20 %; their median by little.
        Assert.Equal(800.0 / 8 + 20 * (1 - 1.0 / 8) + steals, halved.At(8).Quantile(0.5), 0.5);
        Assert.Equal(800, halved.WorkSeconds, 3.0);
        Assert.Equal(20, halved.SpanSeconds, 1e-9);
    }

    [Fact]
    public void Work_OfTimings_LeavesTheSpan()
    {
        ScalingForecast doubled = new WhatIf { Work = 2 }.Of(TidemarkJob.Plan, s_measured);

        Assert.Equal(2 * s_measured.WorkSeconds, doubled.WorkSeconds, 1e-6 * doubled.WorkSeconds);
        Assert.Equal(s_measured.SpanSeconds, doubled.SpanSeconds, 1e-9);
        double was = s_measured.At(10).Quantile(0.5), becomes = doubled.At(10).Quantile(0.5);
        Assert.InRange(becomes / was, 1.5, 2);
    }

    [Fact]
    public void Span_OfTimings_HelpsMoreTheMoreCoresThereAre()
    {
        ScalingForecast halved = new WhatIf { Span = 0.5 }.Of(TidemarkJob.Plan, s_measured);
        double Gain(double cores) => halved.At(cores).Quantile(0.5) / s_measured.At(cores).Quantile(0.5);

        Assert.Equal(1, Gain(1), 1e-9);
        Assert.True(Gain(8) > Gain(32) && Gain(32) > Gain(96) && Gain(96) > 0.5);
    }

    [Fact]
    public void Grain_OfPhases_ChangesTheTimeAsTheClosedFormSays()
    {
        Plan plan = new([], structure: s_phases);
        ScalingForecast coarse = new WhatIf { Grain = 10 }.Of(plan, Planner.Scale(plan));
        var grid = (ParallelPhase)s_phases.Phases[1];
        ScalingForecast anew = Planner.Scale(new Plan([], structure: new JobStructure(
            [s_phases.Phases[0], new ParallelPhase("grid", 20_000, grid.UnitSizes, 40, grid.Costs)])));

        Assert.True(coarse.SpanSeconds > Planner.Scale(plan).SpanSeconds);
        foreach (double cores in (double[])[1, 16, 64])
            Assert.Equal(1, coarse.At(cores).Quantile(0.5) / anew.At(cores).Quantile(0.5), 0.01);
    }

    [Fact]
    public void Grain_OfTimingsAlone_ChangesNothing()
    {
        Assert.False(WhatIf.CanSplit(TidemarkJob.Plan));
        Assert.Same(s_measured, new WhatIf { Grain = 10 }.Of(TidemarkJob.Plan, s_measured));
    }

    [Fact]
    public void Evaluate_OfTheDemo_PullsEveryOtherLever()
    {
        PlanResult Ask(WhatIf levers) => levers.Evaluate(TidemarkJob.Plan, TidemarkJob.Catalogue, new PlannerSettings(), s_measured);
        PlanResult was = Planner.Evaluate(TidemarkJob.Plan, TidemarkJob.Catalogue, new PlannerSettings(), s_measured);
        MachineOutcome Of(PlanResult result, string name) => result.Machines.First(outcome => outcome.Machine.Name == name);

        Assert.Equal(Of(was, "Heron-16").CostPerRun * 2, Of(Ask(new WhatIf { Price = 2 }), "Heron-16").CostPerRun);
        // 9 workers on 8 cores: one shares a core and adds a quarter of it.
        Assert.Equal(8.25, Of(Ask(new WhatIf { MostWorkers = 9 }), "Heron-16").EffectiveCores, 1e-12);
        Assert.Equal(9, Of(Ask(new WhatIf { MostWorkers = 9 }), "Heron-64").EffectiveCores, 1e-12);
        Assert.Equal(VerdictState.Misses, Ask(new WhatIf { WindowSeconds = 60 }).Verdict.State);
        Assert.Equal(Of(was, "Heron-16").RunSeconds.Median * 2, Of(Ask(new WhatIf { Input = 2 }), "Heron-16").RunSeconds.Median, 1e-6);
        Assert.True(new WhatIf().IsBase);
    }

    [Fact]
    public void Read_OfADraft_KnowsLeversVariantsAndRubbish()
    {
        var draft = new PlanDraft
        {
            TimingsText = "1 100\n4 30",
            WhatIfInput = "×2",
            WhatIfLevers = new WhatIfDraft { Span = "0,5", Window = "45 min", Workers = "12" },
            Variants = [new WhatIfDraft { Name = "coarse", Grain = "10" }],
        };
        PlanDraftReading reading = PlanDraftReader.Read(draft);

        Assert.Equal(new WhatIf { Input = 2, Span = 0.5, WindowSeconds = 2_700, MostWorkers = 12 }, reading.WhatIf);
        Assert.Equal(new NamedWhatIf("coarse", new WhatIf { Grain = 10 }), Assert.Single(reading.Variants));
        Assert.Null(PlanDraftReader.Read(draft with { WhatIfInput = "", WhatIfLevers = new WhatIfDraft() }).WhatIf);
        Assert.Equal("WhatIfSpan", Assert.Single(PlanDraftReader.Read(draft with { WhatIfLevers = new WhatIfDraft { Span = "half" } }).Blanks).Path);
        Assert.Equal("input ×\u00A02, span ×\u00A00,5, at most\u00A012 workers, window\u00A045 min", draft.WhatIf.Words);
        Assert.Equal(draft, draft.Asking(draft.WhatIf));
    }

    private static ScalingForecast Scaling(string kind) => kind switch
    {
        "measured" => s_measured,
        "stated" => Planner.Scale(s_stated),
        "phases" => Planner.Scale(new Plan([], structure: s_phases)),
        _ => Planner.Scale(new Plan([new Timing(1, 1_080), new Timing(4, 330), new Timing(8, 200)], structure: s_phases)),
    };
}
