using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Tests.Machines;

public sealed class InterruptedRunsTests
{
    private const int Nights = 40_000;

    // Against the closed forms (Interruptions.ExpectedSeconds), within 4 standard errors of the simulated nights.
    [Theory]
    [InlineData(2, 24, 0, null)]
    [InlineData(4, 8, 0.25, null)]
    [InlineData(6, 2, 0.5, null)]
    [InlineData(10, 8, 0.25, 0.05)]
    [InlineData(40, 3, 0.1, 0.02)]
    [InlineData(1, 0.5, 1, 0.1)]
    public void FinishSeconds_HasTheMeanOfTheClosedForm(double t, double m, double r, double? d)
    {
        var interruptions = new Interruptions(m, r, d);
        double[] nights = Simulated(interruptions, t, seed: 5);
        double mean = nights.Average(), deviation = Math.Sqrt(nights.Sum(night => (night - mean) * (night - mean)) / Nights);

        Assert.Equal(interruptions.ExpectedSeconds(t), mean, 4 * deviation / Math.Sqrt(Nights));
        Assert.All(nights, night => Assert.True(night >= t));
    }

    // A run is done within a window where the longest run that is done then is no shorter: two ways to the same chance.
    [Theory]
    [InlineData(2, 24, 0, null)]
    [InlineData(4, 8, 0.25, null)]
    [InlineData(6, 2, 0.5, null)]
    [InlineData(10, 8, 0.25, 0.05)]
    [InlineData(40, 3, 0.1, 0.02)]
    public void LongestDoneWithin_GivesTheChanceThatFinishedRunsHave(double t, double m, double r, double? d)
    {
        var interruptions = new Interruptions(m, r, d);
        double[] nights = Simulated(interruptions, t, seed: 7);
        foreach (double window in (double[])[1.05 * t, 1.3 * t, 2 * t, 4 * t])
        {
            double held = (double)nights.Count(night => night <= window) / Nights;
            // Layers are gathered: a chance is right to about half a layer of those that are interrupted.
            Assert.Equal(held, Chance(interruptions, window, t), 0.5 / 32 + 0.015);
        }
    }

    [Fact]
    public void LongestDoneWithin_SharesAddUpToOne_AndNoneIsLongerThanTheWindow()
    {
        foreach (double? d in (double?[])[null, 0.05])
        {
            foreach (double m in (double[])[1e-4, 0.01, 1, 100, 1e9, 1e15])
            {
                WeighedSeconds[] longest = new InterruptedRuns(new Interruptions(m, 0.2, d), 1).LongestDoneWithin(3);
                Assert.Equal(1, longest.Sum(one => one.Share), 1e-9);
                Assert.All(longest, one => Assert.InRange(one.Seconds, 0, 3));
            }
        }
    }

    [Fact]
    public void LongestDoneWithin_OfFarMoreInterruptionsThanAreDrawn_FollowsTheLimitLaws()
    {
        // M = 1, no restart: the longest of about n breaks in a time n is about ln n + 0.577 (Euler's constant), here of 1,000,000.
        WeighedSeconds[] longest = new InterruptedRuns(new Interruptions(1), 3).LongestDoneWithin(1e6);
        Assert.Equal(Math.Log(1e6) + 0.5772, longest.Sum(one => one.Share * one.Seconds), 0.4);

        // With checkpoints work goes on at its long-run rate: tau for each expected time of a piece.
        var kept = new Interruptions(1, 0.1, 0.01);
        double rate = kept.IntervalSeconds!.Value / Interruptions.ExpectedSecondsByDaly(kept.IntervalSeconds.Value, kept.IntervalSeconds.Value, 0.01, 1, 0.1);
        WeighedSeconds[] worked = new InterruptedRuns(kept, 3).LongestDoneWithin(1e5);
        Assert.Equal(1, worked.Sum(one => one.Share * one.Seconds) / (1e5 * rate), 0.02);
    }

    [Fact]
    public void FinishSeconds_OfARunThatHardlyEverFinishes_EndsTheSimulation()
    {
        var runs = new InterruptedRuns(new Interruptions(60, 1e6), 1);

        Assert.True(runs.FinishSeconds(1e5, 30, runs.Source(1)) > 1e12);
    }

    // Some so long that a limit law serves, some not, and in the middle of them where that begins: whatever is asked first.
    [Theory]
    [InlineData(null)]
    [InlineData(0.5)]
    public void FinishSeconds_OfManyRuns_AreThoseOfEachByItself_InWhateverOrder(double? checkpoint)
    {
        var interruptions = new Interruptions(60, 5, checkpoint);
        double[] work = [.. Enumerable.Range(0, 120).Select(i => 10 * Math.Pow(checkpoint is null ? 1.035 : 1.1, (i * 53) % 120))];
        double[] first = [.. Enumerable.Range(0, 120).Select(i => 0.02 + i % 7)];
        double[] together = new double[120];
        var runs = new InterruptedRuns(interruptions, 1);
        runs.FinishSeconds(work, 1.5, first, new RandomSource(3), together, 1e9);

        var random = new RandomSource(3);
        for (int night = 0; night < 120; night++)
        {
            double alone = new InterruptedRuns(interruptions, 1).FinishSeconds(work[night] * 1.5, 60 * first[night], random);
            Assert.Equal(Math.Min(1e9, alone), together[night]);
        }

        Assert.Contains(work, one => interruptions.ExpectedSeconds(one * 1.5) > 5_000 * 60);
        Assert.Contains(work, one => interruptions.ExpectedSeconds(one * 1.5) < 5_000 * 60);
    }

    [Fact]
    public void Simulation_OfTheSameSeed_IsTheSame_AndOfAnotherDiffers()
    {
        var interruptions = new Interruptions(2, 0.5);

        Assert.Equal(new InterruptedRuns(interruptions, -4).LongestDoneWithin(9), new InterruptedRuns(interruptions, -4).LongestDoneWithin(9));
        Assert.NotEqual(new InterruptedRuns(interruptions, 1).LongestDoneWithin(9), new InterruptedRuns(interruptions, 2).LongestDoneWithin(9));
    }

    private static double Chance(Interruptions interruptions, double window, double t) =>
        new InterruptedRuns(interruptions, 11).LongestDoneWithin(window).Where(one => one.Seconds >= t).Sum(one => one.Share);

    private static double[] Simulated(Interruptions interruptions, double t, int seed)
    {
        var runs = new InterruptedRuns(interruptions, seed);
        RandomSource random = runs.Source(9);
        return [.. Enumerable.Range(0, Nights).Select(_ => runs.FinishSeconds(t, interruptions.MeanSecondsBetween * random.NextExponential(), random))];
    }
}
