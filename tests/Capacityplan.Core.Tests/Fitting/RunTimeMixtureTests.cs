using Capacityplan.Core.Fitting;
using CsCheck;
using MathNet.Numerics.Distributions;

namespace Capacityplan.Core.Tests.Fitting;

public sealed class RunTimeMixtureTests
{
    [Theory]
    [InlineData(0.05)]
    [InlineData(0.5)]
    [InlineData(0.975)]
    public void Quantile_OfOneDraw_IsTheLogNormals(double share)
    {
        // Reference: the log-normal distribution of MathNet.Numerics.
        var mixture = new RunTimeMixture([120], 0.1);

        Assert.Equal(LogNormal.InvCDF(Math.Log(120), 0.1, share), mixture.Quantile(share), 1e-6 * 120);
    }

    [Fact]
    public void ChanceWithin_OfManyDraws_IsTheMeanOfTheirLogNormals()
    {
        double[] draws = [.. Enumerable.Range(0, 1_000).Select(i => 50 + 0.1 * i * (i % 7))];
        var mixture = new RunTimeMixture(draws, 0.08);

        foreach (double seconds in (double[])[40, 60, 100, 250, 500, 700])
        {
            double exact = draws.Average(draw => LogNormal.CDF(Math.Log(draw), 0.08, seconds));
            // Binning adds at most a 64th to the variance of the noise.
            Assert.Equal(exact, mixture.ChanceWithin(seconds), 0.003);
        }
    }

    [Fact]
    public void ChanceWithin_OfAQuantile_IsItsShare() =>
        Gen.Select(Gen.Double[0.001, 1e6].Array[1, 40], Gen.Double[0.01, 0.5], Gen.Double[0.001, 0.999]).ForAll(
            one =>
            {
                var mixture = new RunTimeMixture(one.Item1, one.Item2);
                Assert.Equal(one.Item3, mixture.ChanceWithin(mixture.Quantile(one.Item3)), 1e-6);
            },
            300);

    [Fact]
    public void Band_IsOrdered_AndScalesWithTheUnit()
    {
        double[] draws = [10, 12, 11, 19, 25];
        Band band = new RunTimeMixture(draws, 0.06).Band(0.8);
        Band inMilliseconds = new RunTimeMixture([.. draws.Select(draw => draw * 1000)], 0.06).Band(0.8);

        Assert.True(band.Low < band.Median && band.Median < band.High);
        Assert.Equal(band.Median * 1000, inMilliseconds.Median, 1e-6 * band.Median * 1000);
        Assert.Equal(band.High * 1000, inMilliseconds.High, 1e-6 * band.High * 1000);
    }

    [Fact]
    public void Constructor_OfNonsense_IsRefused()
    {
        Assert.Throws<ArgumentException>(() => new RunTimeMixture([], 0.1));
        Assert.Throws<ArgumentOutOfRangeException>(() => new RunTimeMixture([1, double.NaN], 0.1));
        Assert.Throws<ArgumentOutOfRangeException>(() => new RunTimeMixture([1, 0], 0.1));
        Assert.Throws<ArgumentOutOfRangeException>(() => new RunTimeMixture([1], 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => new RunTimeMixture([1], 0.1).Quantile(1));
        Assert.Throws<ArgumentOutOfRangeException>(() => new RunTimeMixture([1], 0.1).ChanceWithin(double.NaN));
    }

    [Theory]
    [InlineData(0, 0)]
    [InlineData(-5, 0)]
    [InlineData(double.PositiveInfinity, 1)]
    public void ChanceWithin_BeyondAllTimes_IsCertain(double seconds, double chance) =>
        Assert.Equal(chance, new RunTimeMixture([10], 0.1).ChanceWithin(seconds));
}
