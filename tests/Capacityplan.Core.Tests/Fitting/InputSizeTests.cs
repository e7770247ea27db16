using Capacityplan.Core.Fitting;
using MathNet.Numerics.Statistics;

namespace Capacityplan.Core.Tests.Fitting;

/// <summary>Runs of several input sizes fitted together.</summary>
public sealed class InputSizeTests
{
    private static readonly int[] s_cores = [1, 2, 4, 8];

    [Fact]
    public void Fit_OfSizesWithAPower_FindsIt_AndThatTheSerialPartStays()
    {
        static double Truth(double p, double n) => 190 * Math.Pow(n, 1.3) / p + 10;
        MeasuredScaling scaling = Fit(s_cores.SelectMany(p => ((double[])[0.5, 1, 2]).Select(n => new Timing(p, Truth(p, n), size: n))));

        SizeGrowth growth = scaling.Growth!;
        Assert.Equal((0.5, 2), (growth.Smallest, growth.Largest));
        // d ln T/d ln n on one core of the planned size: 1.3 x 190/200.
        // Noise of 5 % a run is assumed, so the beliefs still pull it towards 1.
        Assert.Equal(1.235, growth.Exponent.Median, 0.08);
        Assert.True(growth.Exponent.Low < 1.235 && growth.Exponent.High > 1.235);
        Assert.Equal("power", growth.Laws[0].Name);
        Assert.Equal(1, growth.Laws.Sum(law => law.Weight), 1e-9);
        Assert.True(growth.RestShare.Median < 0.5);
        Band far = scaling.At(16, 4).Band(0.8);
        Assert.InRange(Truth(16, 4), far.Low, far.High);
        Assert.Equal(1, far.Median / Truth(16, 4), 0.12);
    }

    [Fact]
    public void Fit_OfSizesInProportion_SpeaksForTheLinearLaw()
    {
        MeasuredScaling scaling = Fit(s_cores.SelectMany(p => ((double[])[0.25, 1, 4]).Select(n => new Timing(p, n * (190.0 / p + 10), size: n))));

        Assert.Equal("linear", scaling.Growth!.Laws[0].Name);
        Assert.Equal(1, scaling.Growth.Exponent.Median, 0.04);
        Assert.True(scaling.Growth.RestShare.Median > 0.6, "the serial part grows too");
        Assert.Equal(1, Median(scaling, 16, 3) / (3 * (190.0 / 16 + 10)), 0.1);
    }

    [Fact]
    public void Fit_OfSizesThatSort_IsNearThatLaw()
    {
        // n log n of a job of a million elements: over a factor of 100 it parts from the line by a third.
        static double Truth(double p, double n) => 190 * n * (1 + Math.Log(n) / Math.Log(1e6)) / p;
        MeasuredScaling scaling = Fit(s_cores.SelectMany(p => ((double[])[0.01, 0.1, 1]).Select(n => new Timing(p, Truth(p, n), size: n))));

        SizeGrowth growth = scaling.Growth!;
        Assert.True(growth.Laws.Single(law => law.Name == "n log n").Weight > 2 * growth.Laws.Single(law => law.Name == "linear").Weight);
        Assert.Equal(1, Median(scaling, 8, 4) / Truth(8, 4), 0.1);
    }

    [Fact]
    public void Fit_OfScaledRuns_ForecastsTheScaledSpeedupsThatWerePublished()
    {
        // Gustafson, "Reevaluating Amdahl's Law", CACM 31(5), 1988: work grows with the processors and the run time stays.
        // A job whose serial part is s of that run time speeds up p - s (p - 1) times; measured here to 64 of 1,024.
        foreach (ReferenceTable row in ReferenceTable.Rows("speedups/gustafson1988-scaled.csv"))
        {
            double published = row.Number("value");
            double serial = (1024 - published) / 1023;
            int[] cores = [1, 2, 4, 8, 16, 32, 64];
            // Weak scaling alone leaves open how the work grows: two larger inputs on one core tell it.
            IEnumerable<Timing> alone = ((double[])[2, 8]).Select(n => new Timing(1, serial + (1 - serial) * n, size: n));
            MeasuredScaling scaling = Fit(cores.Select(p => new Timing(p, 1, size: p)).Concat(alone));

            Assert.Equal(1, Median(scaling, 1024, 1024), 0.25);
            double speedup = Median(scaling, 1, 1024) / Median(scaling, 1024, 1024);
            Assert.Equal(1, speedup / published, 0.25);
            // The planned size, 1, is fixed: proportional growth would call the job perfectly parallel.
            Assert.True(scaling.Growth!.RestShare.Low < 0.5);
        }
    }

    [Fact]
    public void Fit_OfOneSizeBesideThePlanned_SaysLittleOfTheLaw()
    {
        MeasuredScaling scaling = Fit(s_cores.Select(p => new Timing(p, 190.0 / p + 10, size: 0.5)));

        // Nothing tells how it grows: the band at the planned size is the wider for it.
        Assert.True(scaling.Growth!.Exponent.High - scaling.Growth.Exponent.Low > 0.2);
        Band planned = scaling.At(8).Band(0.8), measured = scaling.At(8, 0.5).Band(0.8);
        Assert.True(planned.High / planned.Low > 1.1 * measured.High / measured.Low);
    }

    [Fact]
    public void Groups_OfSeveralSizes_AreBroughtToThePlannedOne()
    {
        MeasuredScaling scaling = Fit(s_cores.SelectMany(p => ((double[])[0.5, 1, 2]).Select(n => new Timing(p, n * (190.0 / p + 10), size: n))));

        Assert.Equal(s_cores, scaling.Groups.Select(group => group.Cores));
        Assert.All(scaling.Groups, group => Assert.Equal(1, Math.Exp(group.LogMedian) / (190.0 / group.Cores + 10), 0.04));
        Assert.All(scaling.Groups, group => Assert.Equal(3, group.LogSeconds.Length));
    }

    [Fact]
    public void CurveSeconds_WithoutOtherSizes_GrowInProportion()
    {
        MeasuredScaling scaling = Fit(s_cores.Select(p => new Timing(p, 190.0 / p + 10)));

        Assert.Null(scaling.Growth);
        Assert.Equal(3 * Median(scaling, 16, 1), Median(scaling, 16, 3), 1e-9);
    }

    private static MeasuredScaling Fit(IEnumerable<Timing> timings) => MeasuredScaling.Fit([.. timings], cores => cores, seed: 1);

    private static double Median(MeasuredScaling scaling, double cores, double size)
    {
        double[] seconds = new double[scaling.DrawCount];
        scaling.CurveSeconds(cores, size, seconds);
        return seconds.Median();
    }
}
