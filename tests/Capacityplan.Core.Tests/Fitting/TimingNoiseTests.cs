using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Tests.Fitting;

public sealed class TimingNoiseTests
{
    [Fact]
    public void Estimate_WithoutRepeats_IsTheAssumedNoise()
    {
        TimingNoise noise = Noise(new(1, 10), new(2, 5));

        Assert.Equal(TimingNoise.AssumedRunToRun, noise.RunToRun, 1e-12);
        Assert.Equal(Math.Sqrt(0.06 * 0.06 + 0.05 * 0.05), noise.Sitting, 1e-12);
    }

    [Fact]
    public void Estimate_FromRepeats_WeighsThemWithTheAssumed()
    {
        // Two runs 4 % apart on one core count: deviations of ln 1.04 / 2 about the median, one degree of freedom.
        double deviation = Math.Log(1.04) / 2;
        TimingNoise noise = Noise(new(1, 100), new(1, 104), new(2, 50));

        Assert.Equal(Math.Sqrt((6 * 0.05 * 0.05 + 2 * deviation * deviation) / 7), noise.RunToRun, 1e-12);
    }

    [Fact]
    public void Estimate_WithOneStrayRun_IsLittleWiderThanWithout()
    {
        Timing[] steady = [.. Enumerable.Range(0, 12).Select(i => new Timing(4, 100 + i % 3))];
        double without = Noise(steady).RunToRun;
        double with = Noise([.. steady, new Timing(4, 1_000)]).RunToRun;

        Assert.True(with < 1.5 * without, $"{with} against {without}");
    }

    private static TimingNoise Noise(params Timing[] timings) => TimingNoise.Estimate(TimingGroup.Of(timings, cores => cores));
}
