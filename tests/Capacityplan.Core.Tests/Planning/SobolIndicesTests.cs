using Capacityplan.Core.Planning;
using static System.Math;

namespace Capacityplan.Core.Tests.Planning;

public sealed class SobolIndicesTests
{
    [Fact]
    public void Estimate_OfTheIshigamiFunction_GivesItsKnownIndices()
    {
        // f = sin x1 + a sin^2 x2 + b x3^4 sin x1 on [-pi, pi]^3, a = 7, b = 0.1: T. Ishigami and T. Homma, "An importance
        // quantification technique in uncertainty analysis for computer models", ISUMA 1990. Its variances in closed form:
        // V1 = (1 + b pi^4/5)^2/2, V2 = a^2/8, V13 = b^2 pi^8 (1/18 - 1/50).
        const double A = 7, B = 0.1;
        double v1 = 0.5 * Pow(1 + B * Pow(PI, 4) / 5, 2), v2 = A * A / 8, v13 = B * B * Pow(PI, 8) * (1.0 / 18 - 1.0 / 50);
        double variance = v1 + v2 + v13;
        SobolIndices found = SobolIndices.Estimate(3, 16_384, 1, point =>
        {
            double[] x = [.. point.Select(at => PI * (2 * at - 1))];
            return Sin(x[0]) + A * Pow(Sin(x[1]), 2) + B * Pow(x[2], 4) * Sin(x[0]);
        });

        Assert.Equal(variance, found.Variance, 0.2);
        Assert.Equal(3.5, found.Mean, 0.05);
        AssertNear([v1 / variance, v2 / variance, 0], found.First);
        AssertNear([(v1 + v13) / variance, v2 / variance, v13 / variance], found.Total);
    }

    [Fact]
    public void Estimate_OfTheGFunction_GivesItsKnownIndices()
    {
        // g = prod (|4 x - 2| + a)/(1 + a) on [0, 1]^k; V_i = 1/(3 (1 + a_i)^2), V = prod (1 + V_i) - 1, and the total effect of
        // i is V_i prod over the others (1 + V_j), over V: A. Saltelli and I. M. Sobol', "About the use of rank transformation in
        // sensitivity analysis of model output", Reliability Engineering & System Safety 50, 1995.
        double[] a = [0, 1, 4.5, 9, 99, 99];
        double[] parts = [.. a.Select(one => 1 / (3 * Pow(1 + one, 2)))];
        double product = parts.Aggregate(1.0, (all, one) => all * (1 + one));
        SobolIndices found = SobolIndices.Estimate(
            a.Length, 16_384, 2, point => point.Select((x, i) => (Abs(4 * x - 2) + a[i]) / (1 + a[i])).Aggregate(1.0, (all, one) => all * one));

        AssertNear([.. parts.Select(one => one / (product - 1))], found.First);
        AssertNear([.. parts.Select(one => one * product / (1 + one) / (product - 1))], found.Total);
    }

    [Fact]
    public void Estimate_OfAConstant_GivesNothingToAnyInput()
    {
        SobolIndices found = SobolIndices.Estimate(2, 16, 1, _ => 5);

        Assert.Equal([0, 0], found.Total);
        Assert.Equal(5, found.Mean, 1e-12);
    }

    [Fact]
    public void Estimate_CancelledHalfWay_Stops()
    {
        using var source = new CancellationTokenSource();
        int asked = 0;

        Assert.Throws<OperationCanceledException>(() => SobolIndices.Estimate(2, 1_000, 1, _ =>
        {
            if (++asked == 100)
                source.Cancel();
            return asked;
        }, cancellation: source.Token));
        Assert.InRange(asked, 100, 110);
    }

    // 16,384 points: a standard error of about 0.01 on the largest of these indices.
    private static void AssertNear(double[] expected, IEnumerable<double> found) =>
        Assert.All(expected.Zip(found), pair => Assert.Equal(pair.First, pair.Second, 0.025));
}
