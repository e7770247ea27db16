using Capacityplan.Core.Laws;
using CsCheck;

namespace Capacityplan.Core.Tests.Laws;

// A. H. Karp and H. P. Flatt, "Measuring Parallel Processor Performance", CACM 33(5), 1990.
public sealed class KarpFlattTests
{
    // The formula worked by hand: (10/37 - 1/4)/(3/4) = (3/148)/(3/4) = 1/37 = 0.0270.
    [Fact]
    public void SerialFraction_SpeedupOf3Point7On4_IsOneThirtySeventh() =>
        Assert.Equal(1.0 / 37, KarpFlatt.SerialFraction(3.7, 4), 1e-12);

    [Fact]
    public void SerialFraction_OfAnAmdahlSpeedup_GivesTheShareBack() =>
        Gen.Select(Gen.Double[0, 1], Gen.Double[1.5, 5000]).ForAll(drawn =>
        {
            (double serial, double cores) = drawn;
            Assert.Equal(serial, KarpFlatt.SerialFraction(Amdahl.Speedup(serial, cores), cores), 1e-11);
        });

    [Fact]
    public void SerialFraction_MoreThanTheCores_IsNegative() => Assert.True(KarpFlatt.SerialFraction(4.4, 4) < 0);

    // Overhead that grows with the cores shows as a rising fraction, serial work as a level one: what the measure is for.
    [Fact]
    public void SerialFraction_OverheadThatGrowsWithTheCores_Rises()
    {
        double[] fractions = [.. new double[] { 2, 4, 8, 16, 32 }.Select(
            cores => KarpFlatt.SerialFraction(UniversalScalability.Capacity(0.02, 0.001, cores), cores))];
        Assert.Equal(fractions.Order(), fractions);
        Assert.True(fractions[^1] > fractions[0] + 0.02);
    }

    [Fact]
    public void SerialFraction_OnOneCore_IsRefused() =>
        Assert.Throws<ArgumentOutOfRangeException>("cores", () => KarpFlatt.SerialFraction(1, 1));
}
