using System.Globalization;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Laws;
using Capacityplan.Core.Stealing;
using CsCheck;

namespace Capacityplan.Core.Tests.Stealing;

// Measured against our own reference simulation; reference/stealing/SOURCE.md says of what.
public sealed class StealOverheadTests
{
    private static readonly Gen<(WorkAndSpan Job, double Cores)> s_jobs = Gen.Select(
        Gen.Double[-6, 6].Select(x => Math.Pow(10, x)), Gen.Double[0, 1], Gen.Double[0, 9].Select(x => (long)Math.Pow(10, x)),
        Gen.Select(Gen.Double[0, 1e-5], Gen.Double[0, 1e-5], Gen.Double[0, 1e-4], Gen.Double[0, 1e-4]), Gen.Double[1, 2000],
        (work, share, tasks, costs, cores) => (new WorkAndSpan(work, work * share, tasks, Costs(costs)), cores));

    [Fact]
    public void ExpectedSeconds_UnitTasks_IsWithinOnePercentOfTheSimulatedMean()
    {
        IReadOnlyList<ReferenceTable> simulated = ReferenceTable.Rows("stealing/const.csv");
        Assert.Equal(63, simulated.Count);
        Assert.All(simulated, row =>
        {
            long tasks = 1L << int.Parse(row.Text("W").AsSpan(2), CultureInfo.InvariantCulture);
            var job = new WorkAndSpan(tasks, 1, tasks, Costs((0, 0, 1, 0)));
            double estimated = StealOverhead.ExpectedSeconds(job, row.Number("m")).Seconds;
            Assert.InRange(estimated / row.Number("mean") - 1, -0.01, 0.01);
        });
    }

    [Fact]
    public void ExpectedSeconds_UnevenUnitsAndRealCosts_ErrsOnTheSlowSideByNoMoreThanTheSpanExplains()
    {
        IReadOnlyList<ReferenceTable> simulated = ReferenceTable.Rows("stealing/reference.csv");
        Assert.Equal(19, simulated.Count);
        Assert.All(simulated, row =>
        {
            SimulatedSetting setting = SimulatedSetting.Of(row);
            double error = StealOverhead.ExpectedSeconds(setting.Job, setting.Cores).Seconds / row.Number("mean_makespan") - 1;
            double spanShare = setting.Job.SpanSeconds / (row.Number("mean_T1") / setting.Cores);
            Assert.InRange(error, 0, spanShare switch { <= 0.05 => 0.03, <= 0.15 => 0.08, _ => 0.8 });
        });
    }

    [Fact]
    public void ExpectedSeconds_OneCore_IsWorkForksAndJoinsToTheLastDigit() =>
        s_jobs.ForAll(drawn =>
        {
            SchedulingCosts costs = drawn.Job.Costs;
            double forksAndJoins = (drawn.Job.Tasks - 1) * (costs.ForkSeconds + costs.JoinSeconds);
            var expected = new ExpectedMakespan(drawn.Job.WorkSeconds + forksAndJoins, forksAndJoins, 0);
            Assert.Equal(expected, StealOverhead.ExpectedSeconds(drawn.Job, 1));
        });

    [Fact]
    public void ExpectedSeconds_AnyJob_IsNeverBelowTheFloorAndItsPartsAddUp() =>
        s_jobs.ForAll(drawn =>
        {
            (WorkAndSpan job, double cores) = drawn;
            double allWork = job.WorkSeconds + (job.Tasks - 1) * (job.Costs.ForkSeconds + job.Costs.JoinSeconds);
            ExpectedMakespan expected = StealOverhead.ExpectedSeconds(job, cores);
            Assert.True(expected.Seconds >= WorkSpanLaws.FloorSeconds(allWork, job.SpanSeconds, cores));
            double free = WorkSpanLaws.GreedyCeilingSeconds(job.WorkSeconds, job.SpanSeconds, Math.Min(cores, job.Tasks));
            Assert.Equal(1, (free + expected.OverheadSeconds + expected.StealingSeconds) / expected.Seconds, 1e-9);
        });

    [Fact]
    public void ExpectedSeconds_MoreCores_AddToStealingAndTakeFromOverhead() =>
        Gen.Select(s_jobs, Gen.Double[1, 10]).ForAll(drawn =>
        {
            ((WorkAndSpan job, double cores), double factor) = drawn;
            ExpectedMakespan few = StealOverhead.ExpectedSeconds(job, cores);
            ExpectedMakespan many = StealOverhead.ExpectedSeconds(job, cores * factor);
            Assert.True(many.StealingSeconds >= few.StealingSeconds * (1 - 1e-12));
            Assert.True(many.OverheadSeconds <= few.OverheadSeconds);
        });

    [Fact]
    public void ExpectedSeconds_MoreCoresThanTasks_IsAsOnOneCoreATask()
    {
        var job = new WorkAndSpan(80, 1, 8);
        Assert.Equal(StealOverhead.ExpectedSeconds(job, 8), StealOverhead.ExpectedSeconds(job, 1000));
        Assert.Equal(new ExpectedMakespan(80, 0, 0), StealOverhead.ExpectedSeconds(new WorkAndSpan(80, 1, 1), 1000));
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(0.99)]
    public void ExpectedSeconds_CoresOutsideTheirRange_IsRefused(double cores) =>
        Assert.Throws<ArgumentOutOfRangeException>(nameof(cores), () => StealOverhead.ExpectedSeconds(new WorkAndSpan(80, 1, 8), cores));

    private static SchedulingCosts Costs((double Fork, double Join, double Attempt, double Steal) costs) => new()
    {
        ForkSeconds = costs.Fork,
        JoinSeconds = costs.Join,
        StealAttemptSeconds = costs.Attempt,
        StealSeconds = costs.Steal,
    };
}
