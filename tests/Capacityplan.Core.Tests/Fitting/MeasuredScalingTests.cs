using Capacityplan.Core.Fitting;
using MathNet.Numerics.Statistics;

namespace Capacityplan.Core.Tests.Fitting;

public sealed class MeasuredScalingTests
{
    private static readonly int[] s_eight = [1, 2, 3, 4, 6, 8, 12, 16];

    [Fact]
    public void Fit_OfExactAmdahlTimes_FindsWorkAndSpan()
    {
        MeasuredScaling scaling = Fit(s_eight.Select(p => new Timing(p, 190.0 / p + 10)));

        Assert.Equal(200, scaling.WorkSeconds, 6.0);
        Assert.Equal(10, scaling.SpanSeconds, 1.5);
        Assert.Equal("serial plus parallel", scaling.Models[0].Name);
        // The truth lies well inside the band at four times the measured cores.
        Band far = scaling.At(64).Band(0.8);
        Assert.InRange(190.0 / 64 + 10, far.Low, far.High);
        Assert.Equal(190.0 / 16 + 10, scaling.At(16).Quantile(0.5), 1.0);
    }

    [Fact]
    public void Fit_OfTimesThatRiseAgain_FindsContentionAndCoherency()
    {
        // Exact times with the coefficients published for a 16-way benchmark (Gunther, Guerrilla Capacity Planning, Springer
        // 2007: a = .0277, b = 1.04e-4), measured past their peak near 97.
        int[] cores = [1, 4, 16, 36, 72, 108, 144, 216];
        MeasuredScaling scaling = Fit(cores.Select(p => new Timing(p, 1000.0 * (1 + 0.0277 * (p - 1) + 1.04e-4 * p * (p - 1)) / p)));

        FittedModel best = scaling.Models[0];
        Assert.Equal("universal scalability", best.Name);
        Assert.True(best.Weight > 0.9);
        Assert.Equal(0.0277, best.Parameters["contention"], 0.003);
        Assert.Equal(1.04e-4, best.Parameters["coherency"], 0.06e-4);
    }

    [Fact]
    public void Fit_WithTheSameSeed_IsTheSame_AlsoInParallel()
    {
        Timing[] timings = [new(1, 100), new(2, 53), new(4, 31)];
        double[] expected = Curve(Fit(timings), 32);

        double[][] again = [.. Enumerable.Range(0, 8).AsParallel().Select(_ => Curve(Fit(timings), 32))];

        Assert.All(again, curve => Assert.Equal(expected, curve));
        Assert.NotEqual(expected, Curve(MeasuredScaling.Fit(timings, cores => cores, seed: 2, cancellation: CancellationToken.None), 32));
    }

    [Fact]
    public void Fit_InAnotherOrder_IsTheSame()
    {
        Timing[] timings = [new(4, 31), new(1, 100), new(2, 53), new(1, 102), new(2, 51)];

        Assert.Equal(Curve(Fit(timings), 16), Curve(Fit(timings.Reverse()), 16));
    }

    [Fact]
    public void Fit_InAnotherUnit_ScalesWithIt()
    {
        Timing[] timings = [new(1, 100), new(2, 53), new(4, 31), new(8, 20)];
        double[] seconds = Curve(Fit(timings), 32);
        double[] milliseconds = Curve(Fit(timings.Select(timing => new Timing(timing.Cores, timing.Seconds * 1000))), 32);

        for (int draw = 0; draw < seconds.Length; draw++)
            Assert.Equal(1000, milliseconds[draw] / seconds[draw], 1e-3);
    }

    [Fact]
    public void Fit_OfFewerCoreCounts_HasAWiderBand()
    {
        double Width(params int[] cores)
        {
            Band band = Fit(cores.Select(p => new Timing(p, 190.0 / p + 10))).At(32).Band(0.8);
            return band.High / band.Low;
        }

        Assert.True(Width(1, 2) > Width(1, 2, 4));
        Assert.True(Width(1, 2, 4) > Width(1, 2, 4, 8));
        Assert.True(Width(1, 2, 4, 8) > Width(1, 2, 4, 8, 16));
        Assert.True(Width(1, 2) > 1.8, "two core counts say little about 32 cores");
    }

    [Fact]
    public void Fit_WithOneStrayCoreCount_StaysNearTheOthers()
    {
        IEnumerable<Timing> stray = s_eight.Select(p => new Timing(p, (190.0 / p + 10) * (p == 3 ? 1.8 : 1)));

        Assert.Equal(1, Fit(stray).At(16).Quantile(0.5) / (190.0 / 16 + 10), 0.08);
    }

    [Fact]
    public void Fit_OfOneCoreCount_IsRefused() =>
        Assert.Throws<ArgumentException>(() => Fit([new Timing(4, 10), new Timing(4, 11)]));

    [Fact]
    public void Fit_WhenCancelled_Stops() =>
        Assert.Throws<OperationCanceledException>(() =>
            MeasuredScaling.Fit([new(1, 10), new(2, 6)], cores => cores, seed: 1, cancellation: new CancellationToken(canceled: true)));

    [Fact]
    public void Fit_OfMeasuredPrograms_HoldsAsManyRunsAsItsBandPromises()
    {
        // Our own measurements of fork/join programs: reference/measured/SOURCE.md. Trained on few core counts, judged on
        // every single run at larger ones.
        (int[] Trained, int[] Later)[] cells = [([1, 2], [4, 8, 16]), ([1, 2, 4], [6, 8, 12, 16]), ([1, 2, 4, 8], [12, 16])];
        var programs = ReferenceTable.Rows("measured/timings.csv").GroupBy(row => row.Text("program")).ToList();
        var errors = new List<double>();
        int inside = 0, counted = 0;
        foreach ((int[] trained, int[] later) in cells)
        {
            foreach (var program in programs)
            {
                MeasuredScaling scaling = Fit(program.Where(row => trained.Contains((int)row.Number("cores"))).Select(Run));
                foreach (int cores in later)
                {
                    ReferenceTable[] runs = [.. program.Where(row => row.Number("cores") == cores)];
                    double truth = runs.GroupBy(row => row.Text("sitting")).Select(sitting => sitting.Select(row => row.Number("seconds")).Median()).Median();
                    Band band = scaling.At(cores).Band(0.8);
                    errors.Add(Math.Abs(band.Median / truth - 1));
                    inside += runs.Count(row => row.Number("seconds") >= band.Low && row.Number("seconds") <= band.High);
                    counted += runs.Length;
                }
            }
        }

        Assert.Equal(12, programs.Count);
        Assert.InRange((double)inside / counted, 0.73, 0.88);
        Assert.True(errors.Median() < 0.14, $"median error {errors.Median():0.000}");
    }

    private static Timing Run(ReferenceTable row) => new((int)row.Number("cores"), row.Number("seconds"), (int)row.Number("sitting"));

    private static MeasuredScaling Fit(IEnumerable<Timing> timings) => MeasuredScaling.Fit([.. timings], cores => cores, seed: 1);

    private static double[] Curve(MeasuredScaling scaling, double cores)
    {
        double[] seconds = new double[scaling.DrawCount];
        scaling.CurveSeconds(cores, seconds);
        return seconds;
    }
}
