using Capacityplan.Core.Fitting;
using MathNet.Numerics.Distributions;

namespace Capacityplan.Core.Tests.Fitting;

public sealed class NormalTableTests
{
    [Fact]
    public void ChanceWithin_AnywhereFromEndToEnd_IsTheNormalChance()
    {
        // Reference: the normal distribution of MathNet.Numerics.
        for (double z = -9.5; z < 9.5; z += 0.000_37)
            Assert.Equal(Normal.CDF(0, 1, z), NormalTable.ChanceWithin(z), 1e-13);
    }

    [Theory]
    [InlineData(double.NegativeInfinity, 0)]
    [InlineData(-9.000001, 0)]
    [InlineData(9, 1)]
    [InlineData(1e300, 1)]
    [InlineData(double.PositiveInfinity, 1)]
    public void ChanceWithin_PastTheEnds_IsCertain(double z, double chance) => Assert.Equal(chance, NormalTable.ChanceWithin(z));

    [Fact]
    public void ChanceWithin_IsNeverBelowZeroOrAboveOne()
    {
        for (double z = -9; z < 9; z += 0.001_3)
            Assert.InRange(NormalTable.ChanceWithin(z), 0, 1);
    }
}
