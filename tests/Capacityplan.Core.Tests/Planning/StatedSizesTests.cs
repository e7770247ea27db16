using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;

namespace Capacityplan.Core.Tests.Planning;

public sealed class StatedSizesTests
{
    // From nanoseconds to weeks, away from round figures.
    private static readonly double[] s_means = [3.14159e-9, 7.7777e-7, 1.23456e-5, 9.99996e-4, 0.0271828, 0.999999, 1, 12.34567, 599.9996, 601.2345, 98_765.43];

    public static TheoryData<TaskSizes> Stated()
    {
        var data = new TheoryData<TaskSizes>();
        foreach (double mean in s_means)
        {
            data.Add(new ConstantSizes(mean));
            data.Add(new UniformSizes(0.123456 * mean, 1.876544 * mean));
            data.Add(new ExponentialSizes(mean));
            foreach (double shape in (double[])[0.1, 1.2345, 30])
                data.Add(new GammaSizes(shape, mean / shape));
            foreach (double sigma in (double[])[0.05, 0.7, 1.5])
                data.Add(new LognormalSizes(Math.Log(mean), sigma));
            foreach (double alpha in (double[])[0.8, 1.2345678, 3])
                data.Add(new BoundedParetoSizes(alpha, 0.4321098 * mean, 43.21098 * mean));
        }

        data.Add(new UniformSizes(0, 1.5));
        return data;
    }

    [Theory]
    [MemberData(nameof(Stated), DisableDiscoveryEnumeration = true)]
    public void With_ADistribution_IsReadBackAsTheSame(TaskSizes sizes)
    {
        var before = new PhaseDraft { Name = "grid", Units = "200", SampleText = "1 ms\n2 ms", Sizes = UnitDistribution.Sample, Grain = "7" };

        PhaseDraft stated = StatedSizes.With(before, sizes);
        PlanDraftReading reading = PlanDraftReader.Read(new PlanDraft { Phases = [stated] });

        Assert.Empty(reading.Blanks);
        TaskSizes read = Assert.IsType<ParallelPhase>(reading.Plan!.Structure!.Phases[0]).UnitSizes;
        Assert.Equal(sizes.GetType(), read.GetType());
        Assert.Equal(sizes.Mean, read.Mean, 1e-4 * sizes.Mean);
        // Five digits of each blank: the spread of a narrow one is a difference of two of them.
        Assert.Equal(sizes.StandardDeviation, read.StandardDeviation, 1e-4 * (sizes.Mean + sizes.StandardDeviation));
        Assert.Equal(("1 ms\n2 ms", "grid", "200", "7"), (stated.SampleText, stated.Name, stated.Units, stated.Grain));
    }

    [Fact]
    public void With_ASample_IsRefused() =>
        Assert.Throws<ArgumentException>("sizes", () => StatedSizes.With(new PhaseDraft(), new SampleSizes([1, 2])));
}
