using Capacityplan.Core.Laws;

namespace Capacityplan.Core.Tests.Laws;

public sealed class StealingBoundsTests
{
    // M. Tchiboukdjian, N. Gast and D. Trystram, "Decentralized List Scheduling", Ann. Oper. Res. 207, 2013: the proved factor,
    // 2/(1 - log2(1 + 1/e)) rounded to 3.65 (its closed form from memory).
    [Fact]
    public void ProvedLogFactor_IsThePublishedConstant() =>
        Assert.Equal(StealingBounds.ProvedLogFactor, 2 / (1 - Math.Log2(1 + 1 / Math.E)), 0.005);

    [Fact]
    public void UnitTasksMeanCeiling_1024TasksOn16_IsTheFormulaWorkedByHand() =>
        Assert.Equal(64 + 36.5, StealingBounds.UnitTasksMeanCeiling(1024, 16), 1e-12);

    // R. D. Blumofe and others, J. Parallel Distrib. Comput. 37(1), 1996: with both factors 1 it lies above the greedy ceiling
    // by T_inf/p, so by no more than that.
    [Fact]
    public void MeasuredFormSeconds_BothFactorsOne_IsTheGreedyCeilingAndTheSpanOverTheCores() =>
        Assert.Equal(
            WorkSpanLaws.GreedyCeilingSeconds(100, 4, 8) + 4.0 / 8, StealingBounds.MeasuredFormSeconds(100, 4, 8), 1e-12);

    [Fact]
    public void MeasuredFormSeconds_ThePublishedFactors_AreWorkedByHand() =>
        Assert.Equal(0.9543 * 12.5 + 1.54 * 4, StealingBounds.MeasuredFormSeconds(100, 4, 8, 0.9543, 1.54), 1e-12);
}
