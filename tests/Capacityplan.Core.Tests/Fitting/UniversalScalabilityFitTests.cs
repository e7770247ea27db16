using Capacityplan.Core.Fitting;
using Capacityplan.Core.Laws;
using CsCheck;

namespace Capacityplan.Core.Tests.Fitting;

// N. J. Gunther, "Guerrilla Capacity Planning", Springer 2007: the two measured tables; reference/speedups/SOURCE.md says
// where the coefficients come from.
public sealed class UniversalScalabilityFitTests
{
    [Theory]
    [InlineData("raytracer", "nonlinear_2p")]
    [InlineData("raytracer", "linearised")]
    [InlineData("raytracer", "nonlinear_3p_kappa0")]
    [InlineData("sdm91", "nonlinear_2p")]
    [InlineData("sdm91", "linearised")]
    [InlineData("sdm91", "nonlinear_3p")]
    public void Fit_PublishedTable_GivesTheReferenceCoefficients(string table, string method)
    {
        ReferenceTable expected = ReferenceTable.Rows("speedups/usl-fit-reference.csv")
            .Single(row => row.Text("table") == table && row.Text("method") == method);
        UniversalScalabilityFit fit = Fit(method, Measured(table));

        // To the last digit given there.
        Assert.Equal(expected.Number("sigma"), fit.Contention, 1e-9);
        Assert.Equal(expected.Number("kappa"), fit.Coherency, 1e-10);
        Assert.Equal(expected.Number("gamma"), fit.Rate, 1e-6);
        if (expected.Text("p_star").Length == 0)
            Assert.Null(fit.PeakCores);
        else
            Assert.Equal(expected.Number("p_star"), fit.PeakCores!.Value, 1e-3);
    }

    // The coefficients published for SDM91 with three free parameters: 0.0277285, 0.0001044, 89.9952, peak at 96.51956.
    [Fact]
    public void ThreeParameters_Sdm91_GivesThePublishedCoefficients()
    {
        UniversalScalabilityFit fit = UniversalScalabilityFit.ThreeParameters(Measured("sdm91"));
        Assert.Equal(0.0277285, fit.Contention, 5e-8);
        Assert.Equal(0.0001044, fit.Coherency, 5e-8);
        Assert.Equal(89.9952, fit.Rate, 5e-5);
        Assert.Equal(96.51956, fit.PeakCores!.Value, 5e-4);
    }

    // Published for the ray tracer, linearised: 0.0500 and about 5e-6 (the published value itself: from memory).
    [Fact]
    public void Linearised_RayTracer_GivesTheOftenQuotedCoefficients()
    {
        UniversalScalabilityFit fit = UniversalScalabilityFit.Linearised(Measured("raytracer"));
        Assert.Equal(0.0500, fit.Contention, 5e-5);
        Assert.Equal(5e-6, fit.Coherency, 5e-7);
    }

    [Theory]
    [InlineData("nonlinear_2p")]
    [InlineData("linearised")]
    [InlineData("nonlinear_3p")]
    public void Fit_RatesThatFollowTheLaw_GivesTheParametersBack(string method) =>
        Gen.Select(Gen.Double[0.001, 0.3], Gen.Double[-5, -2].Select(x => Math.Pow(10, x)), Gen.Double[-3, 6].Select(x => Math.Pow(10, x)))
            .ForAll(drawn =>
            {
                (double contention, double coherency, double rate) = drawn;
                double[] cores = [1, 2, 4, 8, 16, 32, 64];
                UniversalScalabilityFit fit = Fit(method, [.. cores.Select(
                    p => new MeasuredRate(p, rate * UniversalScalability.Capacity(contention, coherency, p)))]);
                Assert.Equal(contention, fit.Contention, 1e-6);
                Assert.Equal(coherency, fit.Coherency, 1e-8);
                Assert.Equal(1, fit.Rate / rate, 1e-6);
            }, count: 200);

    [Theory]
    [InlineData("nonlinear_2p")]
    [InlineData("linearised")]
    [InlineData("nonlinear_3p")]
    public void Fit_NoisyRates_IsNeverNegative(string method) =>
        Gen.Double[-0.1, 0.1].Array[6].ForAll(noise =>
        {
            double[] cores = [1, 2, 3, 4, 8, 16];
            UniversalScalabilityFit fit = Fit(method, [.. cores.Select((p, i) => new MeasuredRate(p, p * Math.Exp(noise[i])))]);
            Assert.True(fit.Contention >= 0 && fit.Coherency >= 0 && fit.Rate > 0, fit.ToString());
        }, count: 200);

    [Fact]
    public void ThreeParameters_NoisyRates_LeaveNoNeighbourThatFitsBetter() =>
        Gen.Double[-0.1, 0.1].Array[6].ForAll(noise =>
        {
            double[] cores = [1, 2, 3, 4, 8, 16];
            MeasuredRate[] measured = [.. cores.Select((p, i) => new MeasuredRate(p, p * Math.Exp(noise[i])))];
            UniversalScalabilityFit fit = UniversalScalabilityFit.ThreeParameters(measured);
            double least = Misfit(measured, fit.Contention, fit.Coherency, fit.Rate);
            foreach (double step in new[] { -1e-3, 1e-3 })
            {
                Assert.True(least <= Misfit(measured, Math.Max(0, fit.Contention + step), fit.Coherency, fit.Rate));
                Assert.True(least <= Misfit(measured, fit.Contention, Math.Max(0, fit.Coherency + step / 10), fit.Rate));
                Assert.True(least <= Misfit(measured, fit.Contention, fit.Coherency, fit.Rate * (1 + step)));
            }
        }, count: 200);

    [Fact]
    public void Fit_TwoCoreCounts_IsRefused() =>
        Assert.Throws<ArgumentException>("measured", () => UniversalScalabilityFit.ThreeParameters([new(1, 1), new(2, 2), new(2, 1.9)]));

    [Fact]
    public void RateHeldAtOneCore_NothingMeasuredOnOneCore_IsRefused() =>
        Assert.Throws<ArgumentException>("measured", () => UniversalScalabilityFit.RateHeldAtOneCore([new(2, 2), new(4, 4), new(8, 7)]));

    [Theory]
    [InlineData(double.NaN, 1)]
    [InlineData(0.5, 1)]
    [InlineData(2, double.PositiveInfinity)]
    [InlineData(2, 0)]
    public void Fit_FigureOutsideItsRange_IsRefused(double cores, double rate) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => UniversalScalabilityFit.Linearised([new(1, 1), new(cores, rate), new(4, 3)]));

    private static UniversalScalabilityFit Fit(string method, IReadOnlyList<MeasuredRate> measured) => method switch
    {
        "nonlinear_2p" => UniversalScalabilityFit.RateHeldAtOneCore(measured),
        "linearised" => UniversalScalabilityFit.Linearised(measured),
        "nonlinear_3p" or "nonlinear_3p_kappa0" => UniversalScalabilityFit.ThreeParameters(measured),
        _ => throw new ArgumentException("No such method.", nameof(method)),
    };

    private static double Misfit(IEnumerable<MeasuredRate> measured, double contention, double coherency, double rate) =>
        measured.Sum(m => Math.Pow(m.Rate - rate * UniversalScalability.Capacity(contention, coherency, m.Cores), 2));

    private static MeasuredRate[] Measured(string table) =>
        [.. ReferenceTable.Rows($"speedups/{table}.csv").Select(row => new MeasuredRate(row.Number("processors"), row.Number("value")))];
}
