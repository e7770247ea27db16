using Capacityplan.Core.Laws;
using CsCheck;

namespace Capacityplan.Core.Tests.Laws;

// Derived in the documentation of GrainSize; no source.
public sealed class GrainSizeTests
{
    private static readonly Gen<(double Units, double UnitSeconds, double ForkJoinSeconds, double Cores)> s_loops = Gen.Select(
        Gen.Double[0, 9].Select(x => Math.Pow(10, x)), Gen.Double[-8, 0].Select(x => Math.Pow(10, x)),
        Gen.Double[-8, -5].Select(x => Math.Pow(10, x)), Gen.Double[1, 1000]);

    [Fact]
    public void Best_AMillionUnitsOfAMicrosecondOn16Cores_IsNear112() =>
        Assert.Equal(112, GrainSize.Best(1e6, 1e-6, 2e-7, 16), 0.5);

    [Fact]
    public void Best_AnyLoop_IsAMinimum() =>
        Gen.Select(s_loops, Gen.Double[0, 1]).ForAll(drawn =>
        {
            (var loop, double share) = drawn;
            double least = SecondsAt(loop, GrainSize.Best(loop.Units, loop.UnitSeconds, loop.ForkJoinSeconds, loop.Cores));
            double anyGrain = Math.Pow(loop.Units, share);
            Assert.True(least <= SecondsAt(loop, Math.Clamp(anyGrain, 1, loop.Units)) * (1 + 1e-12));
        }, count: 5000);

    [Fact]
    public void Best_AnyLoop_IsNearTheSquareRootRule() =>
        s_loops.ForAll(loop =>
        {
            double rule = Math.Sqrt(loop.Units * loop.ForkJoinSeconds / (loop.Cores * loop.UnitSeconds));
            double best = GrainSize.Best(loop.Units, loop.UnitSeconds, loop.ForkJoinSeconds, loop.Cores);
            double slack = loop.ForkJoinSeconds / (loop.UnitSeconds * Math.Log(2));
            Assert.InRange(best, Math.Clamp(rule, 1, loop.Units) * (1 - 1e-12), Math.Clamp(rule + slack, 1, loop.Units) * (1 + 1e-12));
        });

    // By hand: 1024 units of 1 s in leaves of 8 on 4 cores, 0.5 s a fork and join:
    // (1024 + 128 x 0.5)/4 + 8 + 0.5 x 7 = 272 + 11.5.
    [Fact]
    public void Seconds_PowersOfTwo_IsTheFormulaWorkedByHand() =>
        Assert.Equal(283.5, GrainSize.Seconds(1024, 1, 0.5, 4, 8), 1e-9);

    [Fact]
    public void Best_FreeForks_IsOneUnit() => Assert.Equal(1, GrainSize.Best(1000, 1e-6, 0, 8));

    private static double SecondsAt(
        (double Units, double UnitSeconds, double ForkJoinSeconds, double Cores) loop, double grain) =>
        GrainSize.Seconds(loop.Units, loop.UnitSeconds, loop.ForkJoinSeconds, loop.Cores, grain);
}
