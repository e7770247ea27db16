using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;

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

    public static TheoryData<TaskSizes, long> Uneven() => new()
    {
        { new ExponentialSizes(1e-5), 1 },
        { new ExponentialSizes(1e-5), 32 },
        { new LognormalSizes(-12, 1), 1 },
        { new LognormalSizes(-12, 1), 32 },
        { new BoundedParetoSizes(1.5, 1e-6, 1e-3), 1 },
        { new UniformSizes(0, 1e-5), 8 },
    };

    [Theory]
    [MemberData(nameof(Uneven))]
    public void ParallelPhase_UnevenUnits_EstimatesTheMeanSpanOfDrawnOnes(TaskSizes sizes, long grain)
    {
        var phase = new ParallelPhase("uneven", 4096, sizes, grain);
        var units = new DrawnUnits(phase);
        double mean = 0;
        for (ulong replicate = 0; replicate < 100; replicate++)
        {
            units.Draw(new RandomSource(2, replicate));
            mean += units.SpanSeconds / 100;
        }

        Assert.Equal(1, phase.SpanSeconds / mean, grain == 1 ? 0.08 : 0.15);
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
