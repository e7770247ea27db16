using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Tests;

public sealed class TimingTests
{
    [Theory]
    [InlineData(0, 1)]
    [InlineData(1, double.NaN)]
    [InlineData(1, double.PositiveInfinity)]
    [InlineData(1, 0)]
    public void Timing_OutsideItsRange_IsRefused(int cores, double seconds) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new Timing(cores, seconds));
}
