using Capacityplan.Core.Laws;
using CsCheck;

namespace Capacityplan.Core.Tests.Laws;

public sealed class GustafsonTests
{
    // J. L. Gustafson, "Reevaluating Amdahl's Law", CACM 31(5), 1988: the formula, worked by hand: 1024 - 0.004 x 1023.
    [Fact]
    public void Speedup_FourThousandthsSerialOn1024_Is1019Point908() =>
        Assert.Equal(1019.908, Gustafson.Speedup(0.004, 1024), 1e-9);

    // The paper's three measured scaled speedups, kept in reference/speedups, and the shares they imply: 1024 - 1021 = 3 of
    // 1023, and so on.
    [Fact]
    public void SerialFraction_ThePapersSpeedups_AreThreeFourAndEightOf1023()
    {
        double[] implied = [3.0 / 1023, 4.0 / 1023, 8.0 / 1023];
        IReadOnlyList<ReferenceTable> measured = ReferenceTable.Rows("speedups/gustafson1988-scaled.csv");
        Assert.Equal(implied.Length, measured.Count);
        Assert.All(measured.Zip(implied), pair =>
        {
            double serial = Gustafson.SerialFraction(pair.First.Number("value"), pair.First.Number("processors"));
            Assert.Equal(pair.Second, serial, 1e-15);
            Assert.Equal(pair.First.Number("value"), Gustafson.Speedup(serial, pair.First.Number("processors")), 1e-9);
        });
    }

    [Fact]
    public void SerialFraction_OfASpeedup_GivesTheShareBack() =>
        Gen.Select(Gen.Double[0, 1], Gen.Double[1.5, 5000]).ForAll(drawn =>
        {
            (double serial, double cores) = drawn;
            Assert.Equal(serial, Gustafson.SerialFraction(Gustafson.Speedup(serial, cores), cores), 1e-11);
        });

    [Fact]
    public void Speedup_MoreCores_Rises() =>
        Gen.Select(Gen.Double[0, 1], Gen.Double[1, 1000], Gen.Double[1, 10]).ForAll(drawn =>
        {
            (double serial, double cores, double factor) = drawn;
            Assert.InRange(Gustafson.Speedup(serial, cores), 1 - 1e-12, cores);
            Assert.True(Gustafson.Speedup(serial, cores * factor) >= Gustafson.Speedup(serial, cores) * (1 - 1e-12));
        });

    [Fact]
    public void SerialFraction_OnOneCore_IsRefused() =>
        Assert.Throws<ArgumentOutOfRangeException>("cores", () => Gustafson.SerialFraction(1, 1));
}
