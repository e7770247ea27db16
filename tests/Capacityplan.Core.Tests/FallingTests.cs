using CsCheck;

namespace Capacityplan.Core.Tests;

public sealed class FallingTests
{
    [Fact]
    public void LastAtLeast_OfASmoothFall_IsTheRoot_InAFewSteps() =>
        Gen.Select(Gen.Double[0.1, 0.999], Gen.Double[0.01, 2]).ForAll(
            one =>
            {
                // exp(-x^2 / s) falls to a value v at sqrt(-s ln v).
                (double value, double s) = one;
                double root = Math.Sqrt(-s * Math.Log(value));
                int asked = 0;
                double found = Falling.LastAtLeast(
                    x =>
                    {
                        asked++;
                        return Math.Exp(-x * x / s);
                    },
                    value, 0.4 * root, 2 * root, 1e-9);
                Assert.InRange(found, root - 1.1e-9, root + 1e-12);
                Assert.InRange(asked, 1, 26);
            },
            500);

    [Theory]
    [InlineData(0.1)]
    [InlineData(0.5)]
    [InlineData(0.999999)]
    public void LastAtLeast_OfASteepOrLevelFall_IsAtTheStep(double step)
    {
        double found = Falling.LastAtLeast(x => x < step ? 0.96 : 1e-5, 0.95, 0, 1, 1e-9);
        Assert.InRange(found, step - 1e-9, step);
    }

    [Fact]
    public void LastAtLeast_WhereAllHold_EndsAtTheEnd() => Assert.InRange(Falling.LastAtLeast(_ => 1, 0.95, 0, 1, 1e-9), 1 - 1e-9, 1);
}
