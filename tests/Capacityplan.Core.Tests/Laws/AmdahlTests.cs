using Capacityplan.Core.Laws;
using CsCheck;

namespace Capacityplan.Core.Tests.Laws;

public sealed class AmdahlTests
{
    // G. M. Amdahl, "Validity of the Single Processor Approach ...", AFIPS 1967: the formula, worked by hand for s = 1/20:
    // 1/(1/20 + 19/160) = 160/27 and 1/(1/20 + 19/400) = 400/39.
    [Theory]
    [InlineData(0.05, 8, 160.0 / 27)]
    [InlineData(0.05, 20, 400.0 / 39)]
    [InlineData(0, 7, 7)]
    [InlineData(1, 7, 1)]
    public void Speedup_KnownShare_IsTheFormulaWorkedByHand(double serialFraction, double cores, double expected) =>
        Assert.Equal(expected, Amdahl.Speedup(serialFraction, cores), 1e-12);

    [Fact]
    public void Limit_ATwentiethSerial_IsTwenty()
    {
        Assert.NotNull(Amdahl.Limit(0.05));
        Assert.Equal(20, Amdahl.Limit(0.05)!.Value, 1e-12);
    }

    [Fact]
    public void Limit_NothingSerial_IsNone() => Assert.Null(Amdahl.Limit(0));

    [Fact]
    public void Speedup_MoreCores_RisesAndStaysUnderTheLimitAndTheCores() =>
        Gen.Select(Gen.Double[1e-6, 1], Gen.Double[1, 1000], Gen.Double[1, 10]).ForAll(drawn =>
        {
            (double serial, double cores, double factor) = drawn;
            double speedup = Amdahl.Speedup(serial, cores);
            Assert.InRange(speedup, 1 - 1e-12, Math.Min(cores, Amdahl.Limit(serial)!.Value) * (1 + 1e-12));
            Assert.True(Amdahl.Speedup(serial, cores * factor) >= speedup * (1 - 1e-12));
        });
}
