using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Tests.Fitting;

public sealed class AssumedNoiseTests
{
    [Fact]
    public void Band_OfAQuietMachine_IsNarrower_AndOfANoisyOneWider()
    {
        double Width(AssumedNoise noise)
        {
            Band band = MeasuredScaling.Fit([new(1, 100), new(2, 55), new(4, 31)], cores => cores, seed: 1, assumed: noise).At(8).Band(0.8);
            return band.High / band.Low;
        }

        Assert.True(Width(AssumedNoise.Quiet) < 0.95 * Width(AssumedNoise.Usual));
        Assert.True(Width(AssumedNoise.Noisy) > 1.2 * Width(AssumedNoise.Usual));
        Assert.Equal(Width(AssumedNoise.Usual), Width(default));
    }

    [Fact]
    public void Estimate_OfSittingsThatDiffer_LeavesTheAssumedBehind()
    {
        // A machine called quiet whose twelve sittings differ by 20 % either way.
        Timing[] timings = [.. Enumerable.Range(1, 12).Select(sitting => new Timing(2, 100 * (sitting % 2 == 0 ? 1.2 : 0.8), sitting))];
        TimingNoise noise = TimingNoise.Estimate(TimingGroup.Of(timings, cores => cores), AssumedNoise.Quiet);

        Assert.True(noise.Sitting > 0.08, $"{noise.Sitting}");
    }

    [Theory]
    [InlineData(0)]
    [InlineData(0.6)]
    [InlineData(double.NaN)]
    public void Noise_OutsideItsRange_IsRefused(double runToRun) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new AssumedNoise(runToRun));
}
