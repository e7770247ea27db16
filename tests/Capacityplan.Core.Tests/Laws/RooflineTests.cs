using Capacityplan.Core.Laws;

namespace Capacityplan.Core.Tests.Laws;

// S. Williams, A. Waterman and D. Patterson, "Roofline", CACM 52(4), 2009: the formula, worked by hand.
public sealed class RooflineTests
{
    [Theory]
    [InlineData(0.5, 20e9)] // 40 GB/s x 0.5 operations a byte: under the slope
    [InlineData(2.5, 100e9)] // at the ridge
    [InlineData(10, 100e9)] // under the roof
    public void OperationsPerSecond_PeakOf100GAndBandwidthOf40GB_IsTheLowerOfTheTwo(double operationsPerByte, double expected) =>
        Assert.Equal(expected, Roofline.OperationsPerSecond(100e9, 40e9, operationsPerByte), 1e-3);

    [Fact]
    public void LeastSeconds_120GBAt40GBASecond_IsThreeSeconds() =>
        Assert.Equal(3, Roofline.LeastSeconds(120e9, 40e9), 1e-12);
}
