using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Tests.Fitting;

public sealed class TimingNoiseTests
{
    [Fact]
    public void Estimate_WithoutRepeats_IsTheAssumedNoise()
    {
        TimingNoise noise = Noise(new(1, 10), new(2, 5));

        Assert.Equal(TimingNoise.AssumedRunToRun, noise.RunToRun, 1e-12);
        Assert.Equal(Math.Sqrt(0.04 * 0.04 + 0.05 * 0.05), noise.Sitting, 1e-12);
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
    public void Estimate_FromSittings_WeighsThemWithTheAssumed()
    {
        // Two sittings 10 % apart, no repeats: deviations of ln 1.1 / 2 about their mean, one degree of freedom.
        double deviation = Math.Log(1.1) / 2;
        TimingNoise noise = Noise(new(1, 100, sitting: 1), new(1, 110, sitting: 2), new(2, 50));

        double assumed = 0.04 * 0.04 + 0.05 * 0.05;
        Assert.Equal(TimingNoise.AssumedRunToRun, noise.RunToRun, 1e-12);
        Assert.Equal(Math.Sqrt((4 * assumed + 2 * deviation * deviation) / 5), noise.Sitting, 1e-12);
    }

    [Fact]
    public void Estimate_OfAQuietMachinesSittings_IsBelowTheAssumed()
    {
        Timing[] quiet =
        [
            .. ((int[])[1, 2, 4]).SelectMany(cores => Enumerable.Range(1, 6).SelectMany(sitting => ((double[])[0.999, 1, 1.001]).Select(
                run => new Timing(cores, run * 100 / cores, sitting)))),
        ];

        Assert.True(Noise(quiet).Sitting < 0.6 * Noise(new(1, 100), new(2, 50)).Sitting);
    }

    [Fact]
    public void VarianceOfMedian_OfSittings_IsDividedByTheirNumber()
    {
        TimingNoise noise = new(0.05, 0.06);
        TimingGroup one = TimingGroup.Of([new(2, 10, 1)], cores => cores)[0];
        TimingGroup four = TimingGroup.Of([.. Enumerable.Range(1, 4).Select(sitting => new Timing(2, 10, sitting))], cores => cores)[0];
        TimingGroup repeats = TimingGroup.Of([.. Enumerable.Range(1, 4).Select(_ => new Timing(2, 10, 1))], cores => cores)[0];

        Assert.Equal(0.06 * 0.06 + 0.05 * 0.05, noise.VarianceOfMedian(one), 1e-12);
        Assert.Equal(noise.VarianceOfMedian(one) / 4, noise.VarianceOfMedian(four), 1e-12);
        // Repeats of one sitting leave the sitting's error.
        Assert.Equal(0.06 * 0.06 + 0.05 * 0.05 * 1.3 / 4, noise.VarianceOfMedian(repeats), 1e-12);
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
