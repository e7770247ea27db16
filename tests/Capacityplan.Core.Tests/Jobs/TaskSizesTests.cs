using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Tests.Jobs;

public sealed class TaskSizesTests
{
    private static readonly TaskSizes[] s_sizes =
    [
        new ConstantSizes(3), new UniformSizes(1, 4), new ExponentialSizes(2), new GammaSizes(0.5, 3), new GammaSizes(6, 0.5),
        new LognormalSizes(0.2, 0.8), new BoundedParetoSizes(1.3, 0.5, 200), new BoundedParetoSizes(1, 0.5, 50),
        new BoundedParetoSizes(2, 0.5, 50), new SampleSizes([0, 1, 1, 5]),
    ];

    public static TheoryData<int> Kinds() => [.. Enumerable.Range(0, s_sizes.Length)];

    [Theory]
    [MemberData(nameof(Kinds))]
    public void Sample_ManyDraws_HaveTheStatedMeanSpreadAndSurvival(int kind)
    {
        TaskSizes sizes = s_sizes[kind];
        double[] drawn = new double[200_000];
        sizes.Fill(new RandomSource(11), drawn);
        double mean = drawn.Average();
        double deviation = Math.Sqrt(drawn.Sum(x => (x - mean) * (x - mean)) / drawn.Length);
        double error = sizes.StandardDeviation / Math.Sqrt(drawn.Length);
        Assert.InRange(mean, sizes.Mean - 4.5 * error - 1e-12, sizes.Mean + 4.5 * error + 1e-12);
        // The spread of a heavy tail is itself spread widely.
        Assert.Equal(sizes.StandardDeviation, deviation, 0.05 * sizes.StandardDeviation + 1e-12);
        foreach (double at in new[] { 0.3, 1, 2.5, 6 })
        {
            double chance = sizes.Survival(at);
            double slack = 4.5 * Math.Sqrt(chance * (1 - chance) / drawn.Length) + 1e-12;
            Assert.InRange(drawn.Count(x => x > at) / (double)drawn.Length, chance - slack, chance + slack);
        }

        var random = new RandomSource(11);
        Assert.Equal(drawn.Take(100), Enumerable.Range(0, 100).Select(_ => sizes.Sample(random)));
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public void ExpectedLongest_OfSome_IsTheMeanLongestOfManyDraws(int kind)
    {
        TaskSizes sizes = s_sizes[kind];
        var random = new RandomSource(12);
        Assert.Equal(1, sizes.ExpectedLongest(1) / sizes.Mean, 1e-9);
        foreach (int count in new[] { 2, 60 })
        {
            double[] drawn = new double[count];
            double[] longest = [.. Enumerable.Range(0, 8_000).Select(_ =>
            {
                sizes.Fill(random, drawn);
                return drawn.Max();
            })];
            double mean = longest.Average();
            double error = Math.Sqrt(longest.Sum(x => (x - mean) * (x - mean))) / longest.Length;
            Assert.InRange(sizes.ExpectedLongest(count), mean - 4.5 * error - 1e-6, mean + 4.5 * error + 1e-6);
        }
    }

    [Fact]
    public void ExpectedLongest_TwoWaysToTheSame_Agree()
    {
        // The harmonic number against the integral, and an integral for a count no sample could check.
        Assert.Equal(new ExponentialSizes(2).ExpectedLongest(1_000_000), new GammaSizes(1, 2).ExpectedLongest(1_000_000), 1e-8);
        Assert.Equal(2 * 14.392726722865724, new ExponentialSizes(2).ExpectedLongest(1_000_000), 1e-9);
        Assert.Equal(2 * (Math.Log(1e10) + 0.5772156649015329), new GammaSizes(1, 2).ExpectedLongest(10_000_000_000), 1e-7);
        Assert.InRange(new BoundedParetoSizes(1.3, 0.5, 200).ExpectedLongest(10_000_000_000), 199.99, 200);
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public void ExpectedLongestTask_OfManyUnits_IsNearTheMeanLongestDrawn(int kind)
    {
        TaskSizes sizes = s_sizes[kind];
        var random = new RandomSource(13);
        double[] drawn = new double[20];
        double sum = 0;
        for (int i = 0; i < 400; i++)
        {
            double longest = 0;
            for (int task = 0; task < 50; task++)
            {
                sizes.Fill(random, drawn);
                longest = Math.Max(longest, drawn.Sum());
            }

            sum += longest;
        }

        double estimated = sizes.ExpectedLongestTask(50, 20);
        Assert.Equal(1, estimated / (sum / 400), sizes is ConstantSizes or ExponentialSizes or GammaSizes ? 0.02 : 0.15);
    }

    [Fact]
    public void TaskSizes_FiguresOutsideTheirRange_AreRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>("value", () => new ConstantSizes(0));
        Assert.Throws<ArgumentOutOfRangeException>("min", () => new UniformSizes(-1, 2));
        Assert.Throws<ArgumentOutOfRangeException>("max", () => new UniformSizes(2, 2));
        Assert.Throws<ArgumentOutOfRangeException>("mean", () => new ExponentialSizes(double.NaN));
        Assert.Throws<ArgumentOutOfRangeException>("shape", () => new GammaSizes(0, 1));
        Assert.Throws<ArgumentOutOfRangeException>("scale", () => new GammaSizes(1, double.PositiveInfinity));
        Assert.Throws<ArgumentOutOfRangeException>("mu", () => new LognormalSizes(double.NaN, 1));
        Assert.Throws<ArgumentOutOfRangeException>("sigma", () => new LognormalSizes(0, 0));
        Assert.Throws<ArgumentOutOfRangeException>("alpha", () => new BoundedParetoSizes(0, 1, 2));
        Assert.Throws<ArgumentOutOfRangeException>("max", () => new BoundedParetoSizes(1, 2, 2));
        Assert.Throws<ArgumentException>("values", () => new SampleSizes([]));
        Assert.Throws<ArgumentException>("values", () => new SampleSizes([0, 0]));
        Assert.Throws<ArgumentOutOfRangeException>("values", () => new SampleSizes([1, -1]));
    }

    [Fact]
    public void SampleSizes_ListChangedAfterwards_KeepsWhatItWasGiven()
    {
        double[] values = [1, 2, 3];
        var sizes = new SampleSizes(values);
        values[0] = 99;
        Assert.Equal([1, 2, 3], sizes.Values);
        Assert.Equal(new SampleSizes([1, 2, 3]), sizes);
        Assert.NotEqual(new SampleSizes([1, 2, 4]), sizes);
    }
}
