using Capacityplan.Core.Jobs;
using MathNet.Numerics.Distributions;

namespace Capacityplan.Core.Tests.Jobs;

public sealed class TaskSizesDensityTests
{
    private static readonly TaskSizes[] s_continuous =
    [
        new UniformSizes(1, 4), new ExponentialSizes(2e-6), new GammaSizes(0.02, 3), new GammaSizes(0.5, 3), new GammaSizes(1, 3), new GammaSizes(6, 0.5e-9),
        new GammaSizes(300, 1), new GammaSizes(9_999, 0.1), new GammaSizes(10_001, 0.1), new GammaSizes(1e9, 1e-9), new LognormalSizes(-9, 0.01), new LognormalSizes(0.2, 3),
        new BoundedParetoSizes(1e-3, 0.5, 200), new BoundedParetoSizes(1.3, 1e-6, 200), new BoundedParetoSizes(60, 1, 1.5),
    ];

    public static TheoryData<int> Kinds() => [.. Enumerable.Range(0, s_continuous.Length)];

    /// <summary>MathNet.Numerics as the reference, where it has the distribution.</summary>
    [Fact]
    public void LogDensityCumulativeQuantile_AgainstANumericalLibrary_Agree()
    {
        (TaskSizes Sizes, IContinuousDistribution Reference)[] pairs =
        [
            (new UniformSizes(1, 4), new ContinuousUniform(1, 4)), (new ExponentialSizes(2), new Exponential(0.5)), (new GammaSizes(0.5, 3), new Gamma(0.5, 1 / 3.0)),
            (new GammaSizes(6, 0.5), new Gamma(6, 2)), (new GammaSizes(500, 0.01), new Gamma(500, 100)), (new LognormalSizes(0.2, 0.8), new LogNormal(0.2, 0.8)),
            (new BoundedParetoSizes(1.3, 0.5, 200), new TruncatedPareto(0.5, 1.3, 200, new System.Random(1))),
        ];
        foreach ((TaskSizes sizes, IContinuousDistribution reference) in pairs)
        {
            Assert.Equal(reference.Mean, sizes.Mean, 1e-10 * sizes.Mean);
            Assert.Equal(reference.StdDev, sizes.StandardDeviation, 1e-9 * sizes.Mean);
            foreach (double share in new[] { 1e-4, 0.01, 0.2, 0.5, 0.77, 0.99, 0.9999 })
            {
                double x = sizes.Quantile(share);
                Assert.Equal(share, reference.CumulativeDistribution(x), 1e-9);
                Assert.Equal(reference.DensityLn(x), sizes.LogDensity(x), 1e-9);
                Assert.Equal(reference.CumulativeDistribution(x), sizes.Cumulative(x), 1e-11);
            }
        }
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public void Quantile_OfAShare_HasThatShareBelowIt(int kind)
    {
        TaskSizes sizes = s_continuous[kind];
        double before = 0;
        foreach (double share in new[] { 1e-9, 1e-3, 0.1, 0.4, 0.5, 0.6, 0.9, 0.999, 1 - 1e-6 })
        {
            double x = sizes.Quantile(share);
            Assert.True(x >= before);
            before = x;
            // A gamma draw of so small a shape can be below any double.
            if (x > 0)
            {
                Assert.Equal(1, sizes.Cumulative(x) / share, 3e-7);
                Assert.Equal(1, sizes.Survival(x) / (1 - share), 3e-7);
            }
        }
    }

    /// <summary>exp(x) - 1 = x + x^2/2 + ... and log(1 - s) = -s - s^2/2 - ..., against sums of their own terms.</summary>
    [Theory]
    [InlineData(-1e-12)]
    [InlineData(-6e-3)]
    [InlineData(-0.3)]
    [InlineData(0.3)]
    [InlineData(1e-5)]
    public void NearOne_AgainstTheSeries_KeepsEveryDigit(double x)
    {
        double exponential = 0, logarithm = 0;
        for (int n = 60; n >= 1; n--)
        {
            exponential = x / n * (1 + exponential);
            logarithm -= Math.Pow(x, n) / n;
        }

        Assert.Equal(1, NearOne.ExpLessOne(x) / exponential, 4e-16);
        Assert.Equal(1, NearOne.LogOfOneLess(x) / logarithm, 4e-16);
        Assert.Equal(-1, NearOne.ExpLessOne(-800));
        Assert.Equal(double.PositiveInfinity, NearOne.ExpLessOne(800));
        Assert.Equal(double.NegativeInfinity, NearOne.LogOfOneLess(1));
    }

    /// <summary>The density is the slope of the cumulative curve.</summary>
    [Theory]
    [MemberData(nameof(Kinds))]
    public void LogDensity_Inside_IsTheSlopeOfTheCumulative(int kind)
    {
        TaskSizes sizes = s_continuous[kind];
        foreach (double share in new[] { 0.3, 0.5, 0.8 })
        {
            double low = sizes.Quantile(share), high = sizes.Quantile(share + 1e-4);
            double middle = sizes.LogDensity(low + (high - low) / 2);
            Assert.Equal(1, Math.Exp(middle) * (high - low) / 1e-4, 2e-3);
        }
    }

    [Fact]
    public void LogDensity_OutsideAndAtTheEnds_IsWhatItsDocumentationSays()
    {
        Assert.Equal(double.NegativeInfinity, new UniformSizes(1, 4).LogDensity(0.9));
        Assert.Equal(double.NegativeInfinity, new GammaSizes(2, 1).LogDensity(0));
        Assert.Equal(double.PositiveInfinity, new GammaSizes(0.5, 1).LogDensity(0));
        Assert.Equal(-Math.Log(3), new GammaSizes(1, 3).LogDensity(0), 1e-15);
        Assert.Equal(double.NegativeInfinity, new LognormalSizes(0, 1).LogDensity(0));
        Assert.Equal(double.NegativeInfinity, new BoundedParetoSizes(1, 1, 2).LogDensity(2.1));
        Assert.Equal(0, new ConstantSizes(3).LogDensity(3));
        Assert.Equal(double.NegativeInfinity, new ConstantSizes(3).LogDensity(2));
        Assert.Equal(Math.Log(0.5), new SampleSizes([1, 2, 2, 5]).LogDensity(2), 1e-15);
        Assert.Equal(double.PositiveInfinity, new ExponentialSizes(1).Quantile(1));
        Assert.Equal([1, 1, 2, 5], new[] { 0, 0.25, 0.7, 1 }.Select(new SampleSizes([1, 2, 2, 5]).Quantile));
        Assert.Throws<ArgumentOutOfRangeException>("share", () => new ConstantSizes(1).Quantile(1.1));
    }
}
