using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Tests.Fitting;

// The work law: Brent, "The Parallel Evaluation of General Arithmetic Expressions", J. ACM 21(2), 1974.
public sealed class TimingBoundsTests
{
    [Fact]
    public void Bounds_OfOneCore_AreItsShareAndItself()
    {
        TimingBounds bounds = TimingBounds.Of([new(1, 812)], cores => cores)!;

        Assert.Equal(101.5, bounds.FloorSeconds(8), 1e-9);
        Assert.Equal(812, bounds.CeilingSeconds(8), 1e-9);
        Assert.Equal(812, bounds.FloorSeconds(1), 1e-9);
    }

    [Fact]
    public void Bounds_OfSeveralCores_HoldOnBothSides()
    {
        TimingBounds bounds = TimingBounds.Of([new(4, 100), new(4, 100)], cores => cores)!;

        Assert.Equal(100, bounds.FloorSeconds(1), 1e-9);
        Assert.Equal(400, bounds.CeilingSeconds(1), 1e-9);
        Assert.Equal(25, bounds.FloorSeconds(16), 1e-9);
        Assert.Equal(100, bounds.CeilingSeconds(16), 1e-9);
    }

    [Fact]
    public void Bounds_OfAnyCurveThatObeysTheLaws_HoldIt()
    {
        foreach (double serial in (double[])[0, 0.03, 0.5])
        {
            double Seconds(double p) => 100 * (serial + (1 - serial) / p);
            TimingBounds bounds = TimingBounds.Of([new(6, Seconds(6))], cores => cores)!;

            Assert.All((double[])[1, 2, 6, 7.5, 64], p => Assert.InRange(Seconds(p), bounds.FloorSeconds(p) - 1e-9, bounds.CeilingSeconds(p) + 1e-9));
        }
    }

    [Fact]
    public void Bounds_OfTwoCoreCounts_GiveWayToACurve()
    {
        Assert.Null(TimingBounds.Of([new(1, 100), new(2, 60)], cores => cores));
        // Worth the same, they are one: second threads that add nothing.
        Assert.NotNull(TimingBounds.Of([new(1, 100), new(2, 60)], _ => 1));
    }
}
