using Capacityplan.Core.Laws;
using CsCheck;

namespace Capacityplan.Core.Tests.Laws;

// X.-H. Sun and L. M. Ni, "Another View on Parallel Speedup", Supercomputing 1990: fixed size and fixed time are its ends.
public sealed class SunNiTests
{
    private static readonly Gen<(double Serial, double Cores)> s_jobs = Gen.Select(Gen.Double[0, 1], Gen.Double[1, 5000]);

    [Fact]
    public void Speedup_WorkThatDoesNotGrow_IsAmdahl() =>
        s_jobs.ForAll(job =>
            Assert.Equal(1, SunNi.Speedup(job.Serial, job.Cores, 1) / Amdahl.Speedup(job.Serial, job.Cores), 1e-12));

    [Fact]
    public void Speedup_WorkThatGrowsWithTheCores_IsGustafson() =>
        s_jobs.ForAll(job =>
            Assert.Equal(1, SunNi.Speedup(job.Serial, job.Cores, job.Cores) / Gustafson.Speedup(job.Serial, job.Cores), 1e-12));

    [Fact]
    public void Speedup_WorkInBetween_LiesBetweenTheTwo() =>
        Gen.Select(s_jobs, Gen.Double[0, 1]).ForAll(drawn =>
        {
            ((double serial, double cores), double share) = drawn;
            double speedup = SunNi.Speedup(serial, cores, Math.Pow(cores, share));
            Assert.InRange(speedup, Amdahl.Speedup(serial, cores) * (1 - 1e-12), Gustafson.Speedup(serial, cores) * (1 + 1e-12));
        });

    // By hand: s = 1/2, p = 4, G = 8: (1/2 + 4)/(1/2 + 1) = 3.
    [Fact]
    public void Speedup_WorkThatOutgrowsTheMemory_IsTheFormulaWorkedByHand() =>
        Assert.Equal(3, SunNi.Speedup(0.5, 4, 8), 1e-12);
}
