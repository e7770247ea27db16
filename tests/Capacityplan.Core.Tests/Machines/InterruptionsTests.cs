using Capacityplan.Core.Machines;
using MathNet.Numerics.RootFinding;

namespace Capacityplan.Core.Tests.Machines;

public sealed class InterruptionsTests
{
    private const double Hour = 3600;

    // M exp(R/M) (exp(T/M) - 1) by a pocket calculator: 24 (e^(1/12) - 1); 8 e^(1/32) (e^(1/2) - 1).
    [Theory]
    [InlineData(2, 24, 0, 2.0857)]
    [InlineData(4, 8, 0.25, 5.3545)]
    public void ExpectedSeconds_WithoutCheckpoints_IsTheClosedForm(double t, double m, double r, double hours) =>
        Assert.Equal(hours, new Interruptions(m * Hour, r * Hour).ExpectedSeconds(t * Hour) / Hour, 5e-5);

    [Fact]
    public void ExpectedCount_IsTheExpectedTimeOverTheMeanBetween() =>
        Assert.Equal(5.3545 / 8, new Interruptions(8 * Hour, 0.25 * Hour).ExpectedCount(4 * Hour), 1e-5);

    // Young 1974 has sqrt(2 d M); d = 2 min and M = 8,760/64 h: sqrt(2 x 2/60 x 136.875) = 3.0208 h.
    [Fact]
    public void YoungInterval_IsTheSquareRootOfTwiceTheCheckpointTimesTheMeanBetween() =>
        Assert.Equal(3.02, Interruptions.YoungInterval(120, 8760 / 64.0 * Hour) / Hour, 0.005);

    [Theory]
    [InlineData(1, 24 * Hour)]
    [InlineData(120, 8760 / 64.0 * Hour)]
    [InlineData(300, 4 * Hour)]
    [InlineData(1800, 2 * Hour)]
    [InlineData(3600, Hour)]
    public void BestInterval_LiesNearTheExactMinimumOfTheExpectedTime(double d, double m)
    {
        // The derivative of (exp((tau + d)/M) - 1)/tau vanishes where (1 - tau/M) exp((tau + d)/M) = 1: found by bisection.
        double exact = m * Bisection.FindRoot(x => (1 - x) * Math.Exp(x + d / m) - 1, 1e-9, 1);
        double best = Interruptions.BestInterval(d, m);

        Assert.Equal(1, best / exact, 0.02);
        double At(double tau) => Interruptions.ExpectedSecondsByDaly(Hour, tau, d, m, 0);
        Assert.Equal(1, At(best) / At(exact), 2e-4);
        Assert.True(At(best) <= At(Interruptions.YoungInterval(d, m)));
    }

    [Fact]
    public void BestInterval_WhereACheckpointTakesTwiceTheMeanBetween_IsThatMean() => Assert.Equal(100, Interruptions.BestInterval(200, 100));

    [Fact]
    public void ExpectedSeconds_WithCheckpoints_IsDalysLessTheLastCheckpoint()
    {
        var interruptions = new Interruptions(8 * Hour, 600, 120);
        double tau = interruptions.IntervalSeconds!.Value;
        // Twenty whole pieces: Daly's form counts a twentieth checkpoint, in a piece of tau + d instead of tau.
        double daly = Interruptions.ExpectedSecondsByDaly(20 * tau, tau, 120, 8 * Hour, 600);
        double last = Interruptions.ExpectedSecondsByDaly(tau, tau, 120, 8 * Hour, 600) - Interruptions.ExpectedSecondsByDaly(tau, tau, 0, 8 * Hour, 600);

        Assert.Equal(daly - last, interruptions.ExpectedSeconds(20 * tau - 1e-6), 1e-3);
        Assert.True(interruptions.ExpectedSeconds(20 * tau) < new Interruptions(8 * Hour, 600).ExpectedSeconds(20 * tau));
    }

    [Fact]
    public void ExpectedSeconds_GrowsWithTheRunAndIsNeverShorter()
    {
        foreach (double? d in (double?[])[null, 30, 900])
        {
            foreach (double m in (double[])[60, 3600, 1e7])
            {
                var interruptions = new Interruptions(m, 45, d);
                double[] times = [.. Enumerable.Range(1, 60).Select(t => interruptions.ExpectedSeconds(200 * t))];
                Assert.All(times.Select((time, at) => (time, at)), one => Assert.True(one.time >= 200 * (one.at + 1)));
                Assert.All(times.Zip(times.Skip(1)), pair => Assert.True(pair.Second > pair.First || double.IsInfinity(pair.First)));
            }
        }

        Assert.Equal(double.PositiveInfinity, new Interruptions(60).ExpectedSeconds(1e6));
        Assert.Equal(0, new Interruptions(60).ExpectedSeconds(0));
    }

    [Fact]
    public void Of_AWayToPay_TakesTheRateOfAnHour()
    {
        var purchase = new InterruptiblePurchase { Currency = "EUR", PricePerHour = 1, InterruptionsPerHour = 0.25, RestartSeconds = 90, CheckpointSeconds = 20 };
        Interruptions of = Interruptions.Of(purchase)!;

        Assert.Equal((4 * Hour, 90, 20), (of.MeanSecondsBetween, of.RestartSeconds, of.CheckpointSeconds));
        Assert.Null(Interruptions.Of(purchase with { InterruptionsPerHour = 0 }));
        Assert.Null(Interruptions.Of(new MeteredPurchase { Currency = "EUR", PricePerHour = 1 }));
    }

    [Theory]
    [InlineData(-1)]
    [InlineData(-0.5)]
    [InlineData(-1e-9)]
    [InlineData(1e-12)]
    [InlineData(0.999)]
    [InlineData(3)]
    public void ExpLessOne_KeepsItsDigits(double x) =>
        Assert.Equal(1, Interruptions.ExpLessOne(x) / (Math.Abs(x) < 1e-6 ? x : Math.Exp(x) - 1), Math.Abs(x) < 1e-6 ? 1e-9 : 1e-10);
}
