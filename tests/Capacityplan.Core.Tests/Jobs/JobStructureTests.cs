using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;
using Capacityplan.Core.Tests.Stealing;

namespace Capacityplan.Core.Tests.Jobs;

public sealed class JobStructureTests
{
    [Fact]
    public void JobStructure_Phases_AddUpToWorkSpanAndParallelism()
    {
        var costs = new SchedulingCosts { ForkSeconds = 0.25, JoinSeconds = 0.5, CombineSecondsPerUnit = 0.125 };
        var job = new JobStructure([new SerialPhase("read", 3), new ParallelPhase("grid", 4, new ConstantSizes(2), 1, costs)]);
        // Four units, three forks and joins, combines of 4 + 2 + 2 units; the longest chain has two forks and joins.
        Assert.Equal(3 + 8 + 3 * 0.75 + 8 * 0.125, job.WorkSeconds, 1e-12);
        Assert.Equal(3 + 2 + 2 * 0.75 + 6 * 0.125, job.SpanSeconds, 1e-12);
        Assert.Equal(job.WorkSeconds / job.SpanSeconds, job.Parallelism);
    }

    // Leaves of one unit, and full leaves of exponential or gamma units, have a longest one that is known exactly. For the others
    // TaskSizes.ExpectedLongestTask states how far it may be off.
    public static TheoryData<TaskSizes, long, long, double, double> Uneven() => new()
    {
        { new ExponentialSizes(1e-5), 4096, 1, 0, 0 },
        { new ExponentialSizes(1e-5), 4096, 32, 0, 0 },
        { new GammaSizes(0.4, 2e-5), 4096, 8, 0, 0 },
        { new LognormalSizes(-12, 1), 4096, 1, 0, 0 },
        { new BoundedParetoSizes(1.5, 1e-6, 1e-3), 4096, 1, 0, 0 },
        { new UniformSizes(0, 1e-5), 1000, 1, 0, 0 },
        { new LognormalSizes(-12, 0.5), 4096, 8, -0.08, 0.01 },
        { new LognormalSizes(-12, 1), 4096, 32, -0.08, 0.01 },
        { new BoundedParetoSizes(1.5, 1e-6, 1e-3), 100_000, 1000, -0.08, 0.01 },
        { new UniformSizes(0, 1e-5), 4096, 8, 0, 0.1 },
        { new SampleSizes([0, 1e-6, 1e-6, 5e-5]), 4096, 8, 0, 0.3 },
        // Leaves of 19 and 20 units, all taken to hold 20.
        { new ExponentialSizes(1e-5), 5000, 32, 0, 0.03 },
    };

    [Theory]
    [MemberData(nameof(Uneven))]
    public void ParallelPhase_UnevenUnits_EstimatesTheMeanSpanOfDrawnOnesWithinItsStatedError(
        TaskSizes sizes, long count, long grain, double low, double high)
    {
        var phase = new ParallelPhase("uneven", count, sizes, grain);
        var units = new DrawnUnits(phase);
        Sampled ratio = Sampled.Of([.. Enumerable.Range(0, 100).Select(replicate =>
        {
            units.Draw(new RandomSource(2, (ulong)replicate));
            return units.SpanSeconds / phase.SpanSeconds;
        })]);
        // Four standard errors of the mean of a hundred draws, which a heavy tail makes 5 % or so, and sums to the last digits.
        double sampling = 4 * ratio.MeanError + 1e-9;
        Assert.InRange(ratio.Mean, 1 / (1 + high) - sampling, 1 / (1 + low) + sampling);
    }

    [Fact]
    public void JobStructure_NothingToRun_IsRefused()
    {
        Assert.Throws<ArgumentException>("phases", () => new JobStructure([]));
        Assert.Throws<ArgumentException>("phases", () => new JobStructure([new SerialPhase("nothing", 0)]));
        Assert.Throws<ArgumentException>("name", () => new SerialPhase(" ", 1));
        Assert.Throws<ArgumentOutOfRangeException>("seconds", () => new SerialPhase("read", double.NaN));
    }

    [Fact]
    public void ParallelPhase_FiguresOutsideTheirRange_AreRefused()
    {
        var sizes = new ConstantSizes(1);
        Assert.Throws<ArgumentOutOfRangeException>("units", () => new ParallelPhase("grid", 0, sizes));
        Assert.Throws<ArgumentOutOfRangeException>("grain", () => new ParallelPhase("grid", 1, sizes, 0));
        Assert.Throws<ArgumentOutOfRangeException>("bytesPerUnit", () => new ParallelPhase("grid", 1, sizes, bytesPerUnit: -1));
        Assert.Throws<ArgumentOutOfRangeException>(
            "StealAttemptSeconds", () => new ParallelPhase("grid", 1, sizes, 1, new SchedulingCosts { StealAttemptSeconds = 0 }));
        Assert.Throws<ArgumentOutOfRangeException>("RefillUnits", () => new SchedulingCosts { RefillUnits = -1 });
        Assert.Throws<ArgumentOutOfRangeException>("WakeSeconds", () => new SchedulingCosts { WakeSeconds = double.NaN });
    }
}
