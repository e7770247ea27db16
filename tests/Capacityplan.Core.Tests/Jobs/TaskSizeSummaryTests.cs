using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Tests.Jobs;

public sealed class TaskSizeSummaryTests
{
    [Fact]
    public void Of_FewValues_IsWhatAHandCalculationGives()
    {
        var summary = TaskSizeSummary.Of(new SampleSizes([4, 0, 1, 3, 2]));
        Assert.Equal((5, 1, 0.0, 4.0), (summary.Count, summary.Zeros, summary.Min, summary.Max));
        Assert.Equal(2, summary.Mean);
        Assert.Equal(Math.Sqrt(2), summary.StandardDeviation, 1e-15);
        Assert.Equal(Math.Sqrt(2) / 2, summary.CoefficientOfVariation, 1e-15);
        Assert.Equal([0.2, 1, 2, 3, 3.8], [summary.P05, summary.P25, summary.Median, summary.P75, summary.P95], (one, other) => Math.Abs(one - other) < 1e-12);
        Assert.Equal(3.96, summary.P99, 1e-12);
        Assert.Equal(3.996, summary.P999, 1e-12);
        Assert.Equal((1, 0.4), (summary.LongestCount, summary.LongestShare));
    }

    [Fact]
    public void Of_Groups_IsThatOfTheValuesTheyStandFor()
    {
        var grouped = TaskSizeSummary.Of(SampleSizes.OfGroups([1, 2, 30], [150, 49, 2]));
        var plain = TaskSizeSummary.Of(new SampleSizes([.. Enumerable.Repeat(1.0, 150), .. Enumerable.Repeat(2.0, 49), 30, 30]));
        Assert.Equal(plain.Histogram.Bins, grouped.Histogram.Bins);
        Assert.Equal(
            (plain.Count, plain.Zeros, plain.Mean, plain.StandardDeviation, plain.P95, plain.P99, plain.P999, plain.LongestShare),
            (grouped.Count, grouped.Zeros, grouped.Mean, grouped.StandardDeviation, grouped.P95, grouped.P99, grouped.P999, grouped.LongestShare));
        Assert.Equal(62 / 308.0, plain.LongestShare, 1e-12);
    }

    [Fact]
    public void Of_CondensedSample_IsNearlyThatOfTheWhole()
    {
        double[] values = new double[200_000];
        new LognormalSizes(-7, 1).Fill(new RandomSource(31), values);
        var whole = TaskSizeSummary.Of(new SampleSizes(values));
        var condensed = TaskSizeSummary.Of(SampleSizes.Condense(values));
        Assert.Equal(whole.LongestShare, condensed.LongestShare, 1e-12);
        Assert.Equal((whole.Min, whole.Max, whole.P999, whole.P99), (condensed.Min, condensed.Max, condensed.P999, condensed.P99));
        Assert.Equal(1, condensed.Median / whole.Median, 1e-3);
        Assert.Equal(1, condensed.P05 / whole.P05, 1e-3);
        // Lognormal, sigma 1: the share of the work in the longest 1 % is Phi(1 - 2.3263) = 0.0924.
        Assert.Equal(0.0924, whole.LongestShare, 0.003);
    }

    public static TheoryData<string, double[]> Samples()
    {
        double[] Drawn(TaskSizes sizes, int count)
        {
            double[] values = new double[count];
            sizes.Fill(new RandomSource(32), values);
            return values;
        }

        return new()
        {
            { "one", [3] }, { "equal", [3, 3, 3] }, { "two", [1, 2] }, { "far apart", [1e-9, 1e8] }, { "a zero", [0, 1e-3] }, { "zeros and one far off", [.. Enumerable.Repeat(0.0, 9), .. Enumerable.Range(1, 60).Select(i => i / 60.0), 900] },
            { "normal-like", Drawn(new GammaSizes(100, 1), 5_000) }, { "exponential", Drawn(new ExponentialSizes(1), 10_000) }, { "uniform", Drawn(new UniformSizes(0, 5), 90) },
            { "tail", Drawn(new BoundedParetoSizes(0.7, 1e-6, 1e6), 30_000) }, { "coarse", [.. Drawn(new GammaSizes(5, 0.002), 4_000).Select(value => Math.Round(value, 3))] },
            { "nearly equal", [1, 1 + 1e-15, 1 - 1e-15] },
        };
    }

    [Theory]
    [MemberData(nameof(Samples))]
    public void Histogram_OfAnything_HoldsEveryValueOnceInFewBars(string name, double[] values)
    {
        TaskSizeHistogram histogram = TaskSizeSummary.Of(new SampleSizes(values)).Histogram;
        Assert.InRange(histogram.Bins.Length, 1, TaskSizeHistogram.MostBins);
        int zeros = histogram.IsLogarithmic ? values.Count(value => value == 0) : 0;
        Assert.Equal(values.Length - zeros, histogram.Bins.Sum(bin => bin.Count));
        Assert.Equal(1 - zeros / (double)values.Length, histogram.Bins.Sum(bin => bin.Share), 1e-9);
        for (int i = 0; i < histogram.Bins.Length; i++)
        {
            TaskSizeBin bin = histogram.Bins[i];
            bool isLast = i == histogram.Bins.Length - 1;
            Assert.True(bin.To > bin.From && (isLast || bin.To == histogram.Bins[i + 1].From), name);
            Assert.Equal(bin.Count, values.Count(value => value >= bin.From && (value < bin.To || (isLast && value == bin.To))));
        }

        Assert.Equal(name is "zeros and one far off" or "tail", histogram.IsLogarithmic);
    }

    /// <summary>Bars that are no multiple of the clock's step would hold one and two steps by turns.</summary>
    [Fact]
    public void Histogram_OfACoarseClock_HasNoGapsBetweenItsSteps()
    {
        double[] values = new double[20_000];
        new GammaSizes(9, 0.005).Fill(new RandomSource(33), values);
        TaskSizeHistogram histogram = TaskSizeSummary.Of(new SampleSizes(values.Select(value => Math.Round(value, 3)))).Histogram;
        int highest = histogram.Bins.Max(bin => bin.Count);
        int at = histogram.Bins.ToList().FindIndex(bin => bin.Count == highest);
        for (int i = at - 4; i < at + 4; i++)
            Assert.InRange(histogram.Bins[i].Count / (double)histogram.Bins[i + 1].Count, 0.75, 1.33);
    }

    /// <summary>Freedman and Diaconis: 2 IQR n^(-1/3); for a uniform sample of 1,000 values that is 10 bars.</summary>
    [Fact]
    public void Histogram_OfAUniformSample_HasTheBarsOfItsSource() =>
        Assert.Equal(10, TaskSizeSummary.Of(new SampleSizes(Enumerable.Range(0, 1000).Select(i => 5 + i / 999.0))).Histogram.Bins.Length, 1.0);
}
