using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Planning;

public sealed class CalibrationTests
{
    private static readonly int[] s_cores = [1, 2, 4, 8, 16, 32];

    private static readonly Catalogue s_none = new() { Name = "none", Machines = [] };

    public static TheoryData<int> Rows() => [.. Enumerable.Range(0, ReferencePhase.Rows.Count)];

    /// <summary>Serial read and write, an uneven phase, and one of costly small tasks: every factor leaves a trace in its times.</summary>
    private static JobStructure Job(double work = 1, double overhead = 1, double span = 1) => new(
    [
        new SerialPhase("read", 10 * work * span),
        // The span is the serial part and one long leaf; what the span factor adds to the serial part it takes off the units.
        new ParallelPhase("grid", 20_000, new ConstantSizes((1_000 - 10 * (span - 1)) * work / 20_000), 1, Costs(overhead)),
    ]);

    private static SchedulingCosts Costs(double overhead) => new()
    {
        ForkSeconds = 0.01 * overhead,
        JoinSeconds = 0.01 * overhead,
        StealAttemptSeconds = 0.05 * overhead,
        StealSeconds = 0.1 * overhead,
    };

    [Fact]
    public void Calibration_OfTimingsWithKnownFactors_RecoversThemWithinTheStatedError()
    {
        (double Work, double Overhead, double Span)[] truths = [(1, 1, 1), (1.6, 1, 1.3), (0.7, 1.5, 0.8), (2.5, 0.6, 1.5), (1, 2, 1)];
        int inside = 0, all = 0, agree = 0;
        for (int number = 0; number < 40; number++)
        {
            (double work, double overhead, double span) = truths[number % truths.Length];
            Calibration calibration = Fit(Job(), Timed(Job(work, overhead, span), s_cores, noise: 0.05, seed: 100 + number)).Calibration;
            foreach ((double truth, Band band) in new[] { (work, calibration.WorkFactor), (overhead, calibration.OverheadFactor), (span, calibration.SpanFactor) })
            {
                all++;
                inside += truth >= band.Low && truth <= band.High ? 1 : 0;
                // Two and a half standard deviations, where the band of 80 % reaches 1.28.
                double reach = 2.5 / 1.28 * Math.Log(band.High / band.Low) / 2 + 0.02;
                Assert.InRange(Math.Log(band.Median / truth), -1.3 * reach, 1.3 * reach);
            }

            Assert.NotEqual(CalibrationFitness.Disagrees, calibration.Fitness);
            agree += calibration.Fitness == CalibrationFitness.Agrees ? 1 : 0;
        }

        Assert.InRange((double)inside / all, 0.7, 1);
        Assert.InRange(agree, 37, 40);
    }

    [Fact]
    public void Calibration_OfExactTimings_AgreesAndFindsTheFactors()
    {
        CalibratedScaling scaling = Fit(Job(), Timed(Job(1.6, 1, 1.3), s_cores, noise: 0, seed: 1));

        Assert.Equal(1.6, scaling.Calibration.WorkFactor.Median, 0.1);
        Assert.All(scaling.Calibration.Residuals, residual => Assert.InRange(residual.OffTheFit, -0.03, 0.03));
        Assert.Contains("at every core count measured", scaling.Calibration.Statement, StringComparison.Ordinal);
        Assert.Contains("their durations 1.6", scaling.Calibration.Statement, StringComparison.Ordinal);
        Assert.Equal(Job(1.6, 1, 1.3).WorkSeconds, scaling.WorkSeconds, 0.03 * scaling.WorkSeconds);
    }

    // Timings drawn from our own reference simulation's means: the structure they were simulated of has to explain them.
    [Theory]
    [MemberData(nameof(Rows))]
    public void Calibration_OfSimulatedRuns_AgreesAndForecastsPastThem(int number)
    {
        ReferenceTable row = ReferencePhase.Rows[number];
        ParallelPhase phase = ReferencePhase.Of(row);
        var structure = new JobStructure([phase]);
        int[] cores = [1, 2, 4];
        IReadOnlyList<SimulatedPool> pools = PoolSimulation.Run(
            structure, [.. cores.Select(count => new WorkerPool(count))], new SimulationSettings { Replicates = 20 });
        CalibratedScaling scaling = Fit(structure, [.. pools.Select(pool => new Timing(pool.Pool.Workers, pool.MakespanSeconds.Mean))]);

        Assert.Equal(CalibrationFitness.Agrees, scaling.Calibration.Fitness);
        Assert.InRange(scaling.Calibration.WorkFactor.Median, 0.93, 1.07);
        Band band = scaling.At(row.Number("p")).Band(0.9);
        Assert.InRange(row.Number("mean_makespan"), band.Low, band.High);
    }

    [Fact]
    public void Calibration_OfAWrongStructure_IsCalledWrongAndTheTimingsCarryTheForecast()
    {
        // Timings that stop getting shorter at 8 cores, of a job said to be parallel through and through.
        ImmutableArray<Timing> timings = [new(1, 1000), new(2, 505), new(4, 262), new(8, 250), new(16, 330), new(32, 520)];
        var perfect = new JobStructure([new ParallelPhase("grid", 1_000_000, new ConstantSizes(0.001))]);
        PlanResult result = Planner.Evaluate(new Plan(timings, structure: perfect), s_none, new PlannerSettings());
        PlanResult alone = Planner.Evaluate(new Plan(timings), s_none, new PlannerSettings());

        Assert.Equal(CalibrationFitness.Disagrees, result.Forecast.Calibration!.Fitness);
        Assert.Equal(ForecastBasis.Timings, result.Forecast.Basis);
        Assert.Equal(alone.Forecast.Points.AsEnumerable(), result.Forecast.Points.AsEnumerable());
        Problem said = Assert.Single(result.Problems, problem => problem.Path == "job.structure");
        Assert.Equal(ProblemSeverity.Warning, said.Severity);
        Assert.Contains("do not agree", said.Message, StringComparison.Ordinal);
        Assert.Contains("The timings carry the forecast", said.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Calibration_OfTheDemosPhases_AgreesWithItsTimings()
    {
        var structure = new JobStructure(
        [
            new SerialPhase("read soundings", 252),
            new ParallelPhase("grid", 48_000, new BoundedParetoSizes(1.2, 0.06, 186)),
            new ParallelPhase("contour", 6_200_000, new GammaSizes(4, 1.31e-3 / 4), 4_096, new SchedulingCosts { CombineSecondsPerUnit = 1.13e-5 }),
            new SerialPhase("write", 156),
        ]);
        var plan = new Plan(TidemarkJob.Timings, structure: structure) { MeasuredOn = TidemarkJob.Plan.MeasuredOn };
        Forecast forecast = Planner.Evaluate(plan, s_none, new PlannerSettings { AdviseForChoice = true }).Forecast;

        Assert.Equal(CalibrationFitness.Agrees, forecast.Calibration!.Fitness);
        Assert.Equal(ForecastBasis.CalibratedStructure, forecast.Basis);
        Assert.Equal(8, forecast.MeasuredUpToCores);
        Assert.Equal(5, forecast.Measured.Length);
        Assert.Equal("phases, calibrated", forecast.Models[0].Name);
        Assert.Equal(1, forecast.Models.Sum(model => model.Weight), 1e-9);
    }

    [Fact]
    public void Calibration_BySeveralCoreCounts_NarrowsTheBandPastThem()
    {
        ImmutableArray<Timing> timings = Timed(Job(1.6, 1, 1), [1, 2, 4], noise: 0, seed: 1);
        Band together = Fit(Job(), timings).At(32).Band(0.8);
        Band alone = MeasuredScaling.Fit(timings, cores => cores, seed: 1).At(32).Band(0.8);

        Assert.True(Math.Log(together.High / together.Low) < 0.8 * Math.Log(alone.High / alone.Low));
        Assert.InRange(Seconds(Job(1.6, 1, 1), 32), together.Low, together.High);
    }

    [Fact]
    public void Calibration_ByOneTiming_SetsTheSpeedOnly()
    {
        PlanResult result = Planner.Evaluate(new Plan([new Timing(4, 3 * Seconds(Job(), 4))], structure: Job()), s_none, new PlannerSettings());

        Assert.Equal(3, result.Forecast.Calibration!.WorkFactor.Median, 0.5);
        Assert.Equal(3 * Job().WorkSeconds, result.Forecast.WorkSeconds, 0.2 * result.Forecast.WorkSeconds);
        Assert.Contains(result.Problems, problem => problem.Message.StartsWith("Timings on one core count set the speed", StringComparison.Ordinal));
    }

    [Fact]
    public void Calibration_ByRunsOnSecondThreads_CountsThemAsTheyAreWorth()
    {
        // 8 cores' worth on 4 physical ones with a gain of 25 % is 5.
        ImmutableArray<Timing> timings = [.. s_cores[..3].Select(count => new Timing(count, Seconds(Job(), count))), new Timing(8, Seconds(Job(), 5))];
        var plan = new Plan(timings, structure: Job()) { MeasuredOn = new MeasuredOn { PhysicalCores = 4 }, SecondThreadGain = 0.25 };
        Calibration calibration = Planner.Evaluate(plan, s_none, new PlannerSettings()).Forecast.Calibration!;

        Assert.Equal(5.0, calibration.Residuals[^1].CoresWorth, 1e-12);
        Assert.All(calibration.Residuals, residual => Assert.InRange(residual.OffTheFit, -0.02, 0.02));
    }

    [Fact]
    public void Calibration_OfOneSeed_IsTheSame()
    {
        static double[] Curves(int seed)
        {
            double[] seconds = new double[MeasuredScaling.DefaultDraws];
            Fit(Job(), Timed(Job(1.3), s_cores, 0.05, 3), seed).CurveSeconds(24, seconds);
            return seconds;
        }

        Assert.Equal(Curves(4), Curves(4));
        Assert.NotEqual(Curves(4), Curves(5));
    }

    private static CalibratedScaling Fit(JobStructure structure, IReadOnlyList<Timing> timings, int seed = 1) =>
        CalibratedScaling.Fit(structure, timings, cores => cores, seed);

    private static double Seconds(JobStructure job, int cores)
    {
        RunTimeParts parts = new StructuredScaling(job, seed: 1, draws: 10).Parts(cores);
        return parts.WorkSeconds + parts.SpanSeconds + parts.OverheadSeconds + parts.SerialSeconds;
    }

    private static ImmutableArray<Timing> Timed(JobStructure truth, int[] cores, double noise, int seed)
    {
        var random = new RandomSource((ulong)seed, 0, 0);
        return [.. cores.Select(count => new Timing(count, Seconds(truth, count) * Math.Exp(noise * random.NextNormal())))];
    }
}
