using Capacityplan.Core.Laws;

namespace Capacityplan.Core.Tests.Laws;

public sealed class HardwareThreadsTests
{
    // Common practice, no source: 15 to 35 % of a core. The one thing that must never happen is a thread counted as a core.
    [Fact]
    public void DefaultGain_LiesInTheRangeWellBelowAWholeCore()
    {
        double[] ascending = [0.15, HardwareThreads.DefaultGain, 0.35];
        Assert.Equal([HardwareThreads.LeastGain, 0.25, HardwareThreads.MostGain], ascending);
    }
}
