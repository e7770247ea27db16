using System.Collections.Immutable;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;

namespace Capacityplan.Core.Tests.Planning;

public sealed class PhaseReaderTests
{
    private static readonly PhaseDraft s_serial = new() { Name = "read", IsParallel = false, Seconds = "4.2 min" };

    private static readonly PhaseDraft s_parallel = new() { Name = "grid", Units = "48,000", EachTakes = "290 ms" };

    public static TheoryData<PhaseDraft, string, string> Incomplete() => new()
    {
        { s_serial with { Seconds = "" }, "Seconds", "Read: how long does it take?" },
        { s_serial with { Seconds = "soon" }, "Seconds", "\"soon\" is not a time." },
        { s_serial with { Seconds = "-1 s" }, "Seconds", "0 or more" },
        { s_serial with { Seconds = "1e12 s" }, "Seconds", "out of range" },
        { s_parallel with { Units = "" }, "Units", "Grid: how many units?" },
        { s_parallel with { Units = "0" }, "Units", "out of range" },
        { s_parallel with { Units = "1e15" }, "Units", "out of range" },
        { s_parallel with { Units = "2.5" }, "Units", "not a whole number" },
        { s_parallel with { EachTakes = "" }, "EachTakes", "Grid: how long does each unit take?" },
        { s_parallel with { EachTakes = "0 s" }, "EachTakes", "above 0" },
        { s_parallel with { Grain = "0" }, "Grain", "out of range" },
        { s_parallel with { Fork = "x" }, "Fork", "not a time" },
        { s_parallel with { StealAttempt = "0" }, "StealAttempt", "above 0" },
        { s_parallel with { Steal = "1 h" }, "Steal", "at most" },
        { s_parallel with { RefillPerUnit = "1 us" }, "RefillUnits", "how many units fill a cache?" },
        { s_parallel with { BytesPerUnit = "much" }, "BytesPerUnit", "not an amount of memory" },
        { s_parallel with { Sizes = UnitDistribution.Uniform, Shortest = "2 s", Longest = "1 s" }, "Longest", "has to take longer than the shortest" },
        { s_parallel with { Sizes = UnitDistribution.Uniform, Shortest = "2 s" }, "Longest", "how long does its longest unit take?" },
        { s_parallel with { Sizes = UnitDistribution.Exponential }, "Mean", "on average?" },
        { s_parallel with { Sizes = UnitDistribution.Gamma, Mean = "1 s" }, "StandardDeviation", "scatter?" },
        { s_parallel with { Sizes = UnitDistribution.Gamma, Mean = "1 s", StandardDeviation = "1 h" }, "StandardDeviation", "more than 100 times" },
        { s_parallel with { Sizes = UnitDistribution.Gamma, Mean = "1 s", StandardDeviation = "1 us" }, "StandardDeviation", "next to none" },
        { s_parallel with { Sizes = UnitDistribution.Lognormal, Median = "1 s", NearlyAllWithin = "1 s" }, "NearlyAllWithin", "longer than the median" },
        { s_parallel with { Sizes = UnitDistribution.Lognormal, Median = "1 us", NearlyAllWithin = "1 h" }, "NearlyAllWithin", "too far" },
        { s_parallel with { Sizes = UnitDistribution.BoundedPareto, Shortest = "0 s", Longest = "1 s", Alpha = "1" }, "Shortest", "above 0" },
        { s_parallel with { Sizes = UnitDistribution.BoundedPareto, Shortest = "1 s", Longest = "2 s" }, "Alpha", "how heavy is the tail?" },
        { s_parallel with { Sizes = UnitDistribution.BoundedPareto, Shortest = "1 s", Longest = "2 s", Alpha = "0" }, "Alpha", "out of range" },
        { s_parallel with { Sizes = UnitDistribution.Sample }, "SampleText", "how long did its units take?" },
        { s_parallel with { Sizes = UnitDistribution.Sample, SampleText = "soon" }, "SampleText", "" },
        { s_parallel with { Sizes = UnitDistribution.Sample, SampleText = "0\n0" }, "SampleText", "Every duration is 0" },
    };

    [Fact]
    public void Read_OfWholePhases_GivesTheStructureInOrder()
    {
        PhaseDraft contour = new()
        {
            Units = "6.2e6",
            Sizes = UnitDistribution.Gamma,
            Mean = "1.3 ms",
            StandardDeviation = "650 us",
            Grain = "4,096",
            Fork = "1 us",
            Join = "2 us",
            CombinePerUnit = "3 ns",
            StealAttempt = "4 us",
            Steal = "5 us",
            Wake = "6 us",
            RefillPerUnit = "7 ns",
            RefillUnits = "800",
            BytesPerUnit = "4 kB",
        };
        JobStructure structure = Read(s_serial, s_parallel, contour).Plan!.Structure!;

        Assert.Equal(new SerialPhase("read", 252), structure.Phases[0]);
        var second = Assert.IsType<ParallelPhase>(structure.Phases[1]);
        Assert.Equal(("grid", 48_000L, 1L, new ConstantSizes(0.29)), (second.Name, second.Units, second.Grain, second.UnitSizes));
        var costs = new SchedulingCosts
        {
            ForkSeconds = 1e-6,
            JoinSeconds = 2e-6,
            CombineSecondsPerUnit = 3e-9,
            StealAttemptSeconds = 4e-6,
            StealSeconds = 5e-6,
            WakeSeconds = 6e-6,
            RefillSecondsPerUnit = 7e-9,
            RefillUnits = 800,
        };
        var third = Assert.IsType<ParallelPhase>(structure.Phases[2]);
        Assert.Equal(("phase 3", 6_200_000L, 4_096L, 4_000.0), (third.Name, third.Units, third.Grain, third.BytesPerUnit));
        Assert.Equal(
            [1e-6, 2e-6, 3e-9, 4e-6, 5e-6, 6e-6, 7e-9],
            new[]
            {
                third.Costs.ForkSeconds, third.Costs.JoinSeconds, third.Costs.CombineSecondsPerUnit, third.Costs.StealAttemptSeconds,
                third.Costs.StealSeconds, third.Costs.WakeSeconds, third.Costs.RefillSecondsPerUnit,
            }.Select(cost => Math.Round(cost, 15)));
        Assert.Equal(costs.RefillUnits, third.Costs.RefillUnits);
        Assert.Equal(1.3e-3, third.UnitSizes.Mean, 1e-15);
        Assert.Equal(6.5e-4, third.UnitSizes.StandardDeviation, 1e-15);
    }

    [Fact]
    public void Read_OfEveryDistribution_KeepsTheTermsItWasTypedIn()
    {
        TaskSizes Of(PhaseDraft draft) => ((ParallelPhase)Read(draft with { Units = "10" }).Plan!.Structure!.Phases[0]).UnitSizes;

        Assert.Equal(new UniformSizes(0, 2), Of(new PhaseDraft { Sizes = UnitDistribution.Uniform, Shortest = "0 s", Longest = "2 s" }));
        Assert.Equal(new ExponentialSizes(2), Of(new PhaseDraft { Sizes = UnitDistribution.Exponential, Mean = "2" }));
        Assert.Equal(new BoundedParetoSizes(1.5, 0.01, 60), Of(new PhaseDraft { Sizes = UnitDistribution.BoundedPareto, Shortest = "10 ms", Longest = "1 min", Alpha = "1.5" }));
        Assert.Equal(new SampleSizes([1, 2.5]), Of(new PhaseDraft { Sizes = UnitDistribution.Sample, SampleText = "1 s\n 2500 ms\n\n" }));
        TaskSizes lognormal = Of(new PhaseDraft { Sizes = UnitDistribution.Lognormal, Median = "2 s", NearlyAllWithin = "10 s" });
        Assert.Equal(0.5, lognormal.Survival(2), 1e-9);
        Assert.Equal(0.05, lognormal.Survival(10), 1e-9);
    }

    [Theory]
    [MemberData(nameof(Incomplete))]
    public void Read_OfAnIncompletePhase_PointsAtItsBlank(PhaseDraft phase, string blank, string words)
    {
        PlanDraftReading reading = Read(s_serial, phase);

        Problem problem = Assert.Single(reading.Blanks);
        Assert.Equal("Phases[1]." + blank, problem.Path);
        Assert.Contains(words, problem.Message, StringComparison.Ordinal);
        Assert.Equal(PlanQuestion.Correction, reading.Question);
        Assert.Null(reading.Plan);
    }

    [Fact]
    public void Read_OfASampleWithALineInDoubt_LeavesItOutAndTellsWhere()
    {
        PlanDraftReading reading = Read(s_serial, s_parallel with { Sizes = UnitDistribution.Sample, SampleText = "1 s\n2 s\nsoon\n3 s" });

        Assert.Equal(2, ((ParallelPhase)reading.Plan!.Structure!.Phases[1]).UnitSizes.Mean, 1e-12);
        Problem note = Assert.Single(reading.Notes);
        Assert.Equal(("Phases[1].SampleText", 3), (note.Path, note.Line));
    }

    [Fact]
    public void Read_OfNoPhases_IsNoDescription() => Assert.Equal(PlanQuestion.Description, Read().Question);

    [Fact]
    public void Read_OfUnusedBlanks_LeavesThemAlone()
    {
        PhaseDraft kept = s_serial with { Units = "many", EachTakes = "?", Fork = "?", SampleText = "?" };

        Assert.Empty(Read(kept).Blanks);
        Assert.Empty(Read(s_parallel with { Seconds = "?", Mean = "?", SampleText = "?" }).Blanks);
    }

    [Fact]
    public void Read_OfEmptyCosts_TakesTheUsualOnes()
    {
        PhaseDraft empty = s_parallel with { Grain = "", Fork = "", Join = "", StealAttempt = "", Steal = "" };

        Assert.Equal(new ParallelPhase("grid", 48_000, new ConstantSizes(0.29)), Read(empty).Plan!.Structure!.Phases[0]);
    }

    [Fact]
    public void Read_OfPhasesThatTakeNoTimeOrTooMuch_SaysSo()
    {
        Problem none = Assert.Single(Read(s_serial with { Seconds = "0 s" }).Blanks);
        Problem much = Assert.Single(Read(s_parallel with { Units = "1e14", EachTakes = "1 h" }).Blanks);
        Problem many = Assert.Single(Read([.. Enumerable.Repeat(s_serial, PhaseLimits.MostPhases + 1)]).Blanks);

        Assert.Equal(["Phases", "Phases", "Phases"], [none.Path!, much.Path!, many.Path!]);
        Assert.Contains("take no time", none.Message, StringComparison.Ordinal);
        Assert.Contains("is the most", much.Message, StringComparison.Ordinal);
        Assert.Contains("201 phases", many.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Draft_WithEqualPhases_IsEqual()
    {
        var draft = new PlanDraft { Phases = [s_serial, s_parallel] };

        Assert.Equal(draft, new PlanDraft { Phases = [s_serial with { Name = "read" }, s_parallel] });
        Assert.Equal(draft.GetHashCode(), new PlanDraft { Phases = [s_serial, s_parallel] }.GetHashCode());
        Assert.NotEqual(draft, draft with { Phases = [s_parallel, s_serial] });
        Assert.NotEqual(draft, draft with { Phases = draft.Phases.SetItem(1, s_parallel with { Grain = "2" }) });
        Assert.Equal(new PlanDraft(), new PlanDraft { Phases = default });
        Assert.Throws<ArgumentException>(() => new PlanDraft { Phases = [null!] });
    }

    [Fact]
    public void Read_OfTextsAtTheirLimits_GivesAForecastOrAPointedProblem()
    {
        string[] times = ["", "0", "1e-12", "1 ns", "1 us", "1.0000001 us", "1 s", "3 min", "1e9", "1e10", "-1", "x", "∞", "1e400", "0,5"];
        string[] counts = ["", "0", "1", "2", "3", "1000", "1,048,577", "281474976710656", "281474976710657", "1e300", "x"];
        var random = new Random(20_260_401);
        string Time() => times[random.Next(times.Length)];
        string Count() => counts[random.Next(counts.Length)];
        int forecasts = 0;
        for (int round = 0; round < 3_000; round++)
        {
            // Mostly plain, so that the odd text meets a phase that could be read without it.
            string Mostly(string plain, string odd) => random.Next(4) == 0 ? odd : plain;
            var phase = new PhaseDraft
            {
                IsParallel = random.Next(8) > 0,
                Seconds = Mostly("1 s", Time()),
                Units = Mostly("1000", Count()),
                Sizes = (UnitDistribution)random.Next(7),
                EachTakes = Mostly("1 ms", Time()),
                Shortest = Mostly("1 us", Time()),
                Longest = Mostly("2 s", Time()),
                Mean = Mostly("1 ms", Time()),
                StandardDeviation = Mostly("1 ms", Time()),
                Median = Mostly("1 ms", Time()),
                NearlyAllWithin = Mostly("2 ms", Time()),
                Alpha = Mostly("1.5", random.Next(3) switch { 0 => "0.01", 1 => "100", _ => Count() }),
                SampleText = Mostly("1 ms\n2 ms", Time() + "\n" + Time()),
                Grain = Mostly("1", Count()),
                Fork = Mostly("50 ns", Time()),
                CombinePerUnit = Mostly("", Time()),
                StealAttempt = Mostly("0.2 us", Time()),
                Wake = Mostly("", Time()),
                RefillPerUnit = Mostly("", Time()),
                RefillUnits = Mostly("", Count()),
                BytesPerUnit = Mostly("", Count()),
            };
            PlanDraftReading reading = Read(s_serial, phase);
            if (reading.Plan is not { } plan)
            {
                Assert.All(reading.Blanks, problem => Assert.StartsWith("Phases", problem.Path, StringComparison.Ordinal));
                Assert.NotEmpty(reading.Blanks);
                continue;
            }

            forecasts++;
            var scaling = new StructuredScaling(plan.Structure!, seed: 1, draws: 10);
            double[] seconds = new double[10];
            foreach (double cores in (double[])[1, 1.25, 3, 64, 1e6])
            {
                scaling.CurveSeconds(cores, seconds);
                Assert.All(seconds, time => Assert.True(time > 0 && double.IsFinite(time), $"{time} s on {cores} cores of {phase}"));
            }
        }

        Assert.InRange(forecasts, 300, 2_700);
    }

    private static PlanDraftReading Read(params ImmutableArray<PhaseDraft> phases) => PlanDraftReader.Read(new PlanDraft { Phases = phases });
}
