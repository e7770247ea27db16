using Capacityplan.Core.Laws;
using CsCheck;

namespace Capacityplan.Core.Tests.Laws;

// N. J. Gunther, "Guerrilla Capacity Planning", Springer 2007, chapters 4 to 6.
public sealed class UniversalScalabilityTests
{
    // The published three-parameter coefficients of the SDM91 table and the peak published with them.
    [Fact]
    public void PeakCores_OfThePublishedCoefficients_IsThePublishedPeak() =>
        Assert.Equal(96.52, UniversalScalability.PeakCores(0.0277285, 0.0001044)!.Value, 0.02);

    [Fact]
    public void Capacity_NoCoherency_IsAmdahl() =>
        Gen.Select(Gen.Double[0, 1], Gen.Double[1, 5000]).ForAll(drawn =>
        {
            (double contention, double cores) = drawn;
            Assert.Equal(1, UniversalScalability.Capacity(contention, 0, cores) / Amdahl.Speedup(contention, cores), 1e-12);
        });

    [Fact]
    public void PeakCapacity_IsNoLessThanAtAnyOtherCoreCount() =>
        Gen.Select(Gen.Double[1e-6, 1.5], Gen.Double[0, 0.5], Gen.Double[1, 1000]).ForAll(drawn =>
        {
            (double contention, double coherency, double cores) = drawn;
            double peak = UniversalScalability.PeakCapacity(contention, coherency)!.Value;
            Assert.True(UniversalScalability.Capacity(contention, coherency, cores) <= peak * (1 + 1e-12));
        });

    [Fact]
    public void PeakCores_NoCoherency_IsNoneAndTheLimitIsAmdahls()
    {
        Assert.Null(UniversalScalability.PeakCores(0.04, 0));
        Assert.Equal(25, UniversalScalability.PeakCapacity(0.04, 0)!.Value, 1e-12);
        Assert.Null(UniversalScalability.PeakCapacity(0, 0));
    }

    [Fact]
    public void PeakCores_ContentionOfOneOrMore_IsOneCore()
    {
        Assert.Equal(1, UniversalScalability.PeakCores(1.2, 0));
        Assert.Equal(1, UniversalScalability.PeakCores(0.5, 0.9));
    }
}
