using Capacityplan.Core.Laws;
using CsCheck;

namespace Capacityplan.Core.Tests.Laws;

// D. L. Eager, J. Zahorjan and E. D. Lazowska, "Speedup Versus Efficiency in Parallel Systems", IEEE Trans. Comput. 38(3),
// 1989: half of both at the knee, and the sum of efficiency and attained share of the parallelism exceeds 1 everywhere.
public sealed class KneeTests
{
    private static readonly Gen<double> s_parallelism = Gen.Double[1, 5000];

    [Fact]
    public void Floors_AsManyCoresAsParallelism_KeepHalfOfBoth() =>
        s_parallelism.ForAll(parallelism =>
        {
            Assert.True(Knee.SpeedupFloor(parallelism, parallelism) >= parallelism / 2);
            Assert.True(Knee.EfficiencyFloor(parallelism, parallelism) >= 0.5);
        });

    [Fact]
    public void Floors_AnyCoreCount_AddUpToMoreThanOne() =>
        Gen.Select(s_parallelism, Gen.Double[1, 5000]).ForAll(drawn =>
        {
            (double parallelism, double cores) = drawn;
            double sum = Knee.EfficiencyFloor(parallelism, cores) + Knee.SpeedupFloor(parallelism, cores) / parallelism;
            Assert.True(sum > 1);
        });

    [Fact]
    public void SpeedupFloor_IsTheGreedyCeilingReadAsASpeedup() =>
        Gen.Select(s_parallelism, Gen.Double[1, 5000]).ForAll(drawn =>
        {
            (double parallelism, double cores) = drawn;
            double ceiling = WorkSpanLaws.GreedyCeilingSeconds(parallelism, 1, cores);
            Assert.Equal(1, parallelism / ceiling / Knee.SpeedupFloor(parallelism, cores), 1e-12);
        });
}
