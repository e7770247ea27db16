using System.Globalization;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Laws;
using Capacityplan.Core.Stealing;
using Capacityplan.Core.Tests.Planning;

namespace Capacityplan.Core.Tests.Stealing;

// Against our own reference simulation; reference/stealing/SOURCE.md says of what.
public sealed class StealingReferenceTests
{
    public static TheoryData<int> Rows() => [.. Enumerable.Range(0, ReferenceTable.Rows("stealing/reference.csv").Count)];

    [Theory]
    [MemberData(nameof(Rows))]
    public void PoolSimulation_ReferenceRow_IsWithinFourStandardErrors(int number)
    {
        ReferenceTable row = ReferenceTable.Rows("stealing/reference.csv")[number];
        var costs = new SchedulingCosts
        {
            ForkSeconds = row.Number("o_fork"),
            JoinSeconds = row.Number("o_join"),
            CombineSecondsPerUnit = row.Number("c_combine"),
            StealAttemptSeconds = row.Number("a"),
            StealSeconds = row.Number("o_steal"),
        };
        var phase = new ParallelPhase("reference", (long)row.Number("N"), ReferencePhase.Sizes(row), (long)row.Number("grain"), costs);
        int workers = (int)row.Number("p");
        int replicates = (int)Math.Clamp(2e6 / phase.Units, 60, 600);
        SimulatedPool pool = Simulated.Pool(phase, workers, replicates, seed: 5);
        double referenceRuns = Math.Sqrt(row.Number("replicates"));
        void Near(string figure, Func<SimulatedRun, double> simulated, double mean, double error)
        {
            Sampled ours = Simulated.Of(pool, simulated);
            double allowed = 4 * Math.Sqrt(ours.MeanError * ours.MeanError + error * error) + 1e-7 * mean;
            Assert.True(Math.Abs(ours.Mean - mean) <= allowed, $"{figure}: {ours.Mean} against {mean}, allowed {allowed}");
        }

        Near("makespan", run => run.MakespanSeconds, row.Number("mean_makespan"), row.Number("se_makespan"));
        Near("steals", run => run.Steals, row.Number("mean_steals"), row.Number("sd_steals") / referenceRuns);
        Near("failed tries", run => run.FailedTries, row.Number("mean_failed"), row.Number("sd_failed") / referenceRuns);
        Near("idle share", run => run.Shares(workers).Idle, row.Number("mean_idle_fraction"), row.Number("sd_idle_fraction") / referenceRuns);
        // The reference gives no error for what follows; a run of its varies as much as one of ours.
        double errors = 4 * Math.Sqrt(1 + pool.Runs.Count / row.Number("replicates"));
        if (pool.Runs.All(run => run.Steals > 0))
        {
            Sampled stolen = Simulated.Of(pool, run => (double)run.StolenUnits / run.Steals);
            Assert.Equal(row.Number("mean_stolen_size"), stolen.Mean, errors * stolen.MeanError + 1e-6 * stolen.Mean);
            Assert.Equal(stolen.Mean, pool.MeanStolenUnits, 1e-9 * stolen.Mean);
        }

        Sampled popped = Simulated.Of(pool, run => run.Pops == 0 ? 0 : (double)run.PoppedUnits / run.Pops);
        Assert.Equal(row.Number("mean_popped_size"), popped.Mean, errors * popped.MeanError + 1e-6 * popped.Mean);
        Sampled work = Simulated.Of(pool, run => run.WorkSeconds);
        Assert.Equal(row.Number("mean_T1"), work.Mean, errors * work.MeanError + 1e-8 * work.Mean);
        // A quantile is checked by the share of our runs below it, whose error needs no distribution: both samples are as good as
        // their numbers of runs. A run more or less is a step of 1/n, and the reference's figures are rounded to seven digits.
        double[] makespans = [.. pool.Runs.Select(run => run.MakespanSeconds)];
        foreach ((string column, double share) in new[] { ("q05_makespan", 0.05), ("q50_makespan", 0.5), ("q95_makespan", 0.95) })
        {
            double quantile = row.Number(column);
            double shareError = 4 * Math.Sqrt(share * (1 - share) * (1.0 / makespans.Length + 1 / row.Number("replicates"))) + 1.0 / makespans.Length;
            Assert.InRange(share, makespans.Count(one => one < quantile * (1 - 1e-6)) / (double)makespans.Length - shareError,
                makespans.Count(one => one <= quantile * (1 + 1e-6)) / (double)makespans.Length + shareError);
        }
    }

    // The theorem: M. Tchiboukdjian, N. Gast and D. Trystram, "Decentralized List Scheduling", Annals of Operations Research
    // 207, 2013: W/m + 3.65 log2 W for the mean makespan of unit tasks.
    [Fact]
    public void PoolSimulation_UnitTasks_AddAMultipleOfLog2OfTheTasksBelowTheProvedOne()
    {
        var unitTasks = new SchedulingCosts { ForkSeconds = 0, JoinSeconds = 0, StealAttemptSeconds = 1, StealSeconds = 0 };
        ReferenceTable[] rows = [.. ReferenceTable.Rows("stealing/const.csv").Where(row => Tasks(row) <= 1 << 14)];
        Assert.Equal(27, rows.Length);
        Assert.All(rows, row =>
        {
            var phase = new ParallelPhase("unit tasks", Tasks(row), new ConstantSizes(1), 1, unitTasks);
            int workers = (int)row.Number("m");
            Sampled factor = Simulated.Of(
                Simulated.Pool(phase, workers, 60, seed: 9),
                run => (run.MakespanSeconds - (double)phase.Units / workers) / Math.Log2(phase.Units));
            double error = Math.Sqrt(factor.MeanError * factor.MeanError + Math.Pow(row.Number("se"), 2));
            Assert.InRange((factor.Mean - row.Number("(M-W/m)/log2W")) / error, -4, 4);
            Assert.InRange(factor.Mean, 0, StealingBounds.ProvedLogFactor);
        });
    }

    private static long Tasks(ReferenceTable row) => 1L << int.Parse(row.Text("W").AsSpan(2), CultureInfo.InvariantCulture);
}
