using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Tests.Jobs;

public sealed class SampleCondensingTests
{
    private static readonly TaskSizes[] s_drawnFrom =
        [new ExponentialSizes(2), new LognormalSizes(-8, 2.5), new BoundedParetoSizes(1.1, 1e-6, 1e3), new UniformSizes(1, 2), new GammaSizes(0.3, 1)];

    public static TheoryData<int> Kinds() => [.. Enumerable.Range(0, s_drawnFrom.Length)];

    [Theory]
    [MemberData(nameof(Kinds))]
    public void Condense_ManyValues_KeepsMeanAndEndsExactlyAndTheRestNearly(int kind)
    {
        double[] values = new double[300_000];
        s_drawnFrom[kind].Fill(new RandomSource(21), values);
        values[5] = values[6] = 0;
        var whole = new SampleSizes(values);
        SampleSizes condensed = SampleSizes.Condense(values);
        Assert.Equal(SampleSizes.MostGroups, condensed.Values.Count);
        Assert.Equal(values.Length, condensed.Count);
        Assert.Equal(1, condensed.Mean / whole.Mean, 1e-12);
        Assert.InRange(condensed.StandardDeviation / whole.StandardDeviation, 1 - 1e-4, 1 + 1e-12);
        Assert.Equal(whole.Survival(0), condensed.Survival(0));
        foreach (double share in new[] { 0.99, 0.999, 0.9999, 1 })
            Assert.Equal(whole.Quantile(share), condensed.Quantile(share));
        foreach (double share in new[] { 0.05, 0.25, 0.5, 0.75, 0.95 })
        {
            // A group of this sample holds 21 values: the quantile is inside the group it falls in.
            Assert.InRange(condensed.Quantile(share), whole.Quantile(share - 22.0 / values.Length), whole.Quantile(share + 22.0 / values.Length));
            Assert.Equal(1 - share, condensed.Survival(whole.Quantile(share)), 22.0 / values.Length);
        }

        Assert.Equal(1, condensed.ExpectedLongest(1) / whole.Mean, 1e-9);
        Assert.Equal(1, condensed.ExpectedLongest(1_000_000) / whole.ExpectedLongest(1_000_000), 1e-12);
        Assert.Equal(1, condensed.ExpectedLongest(100) / whole.ExpectedLongest(100), 1e-4);
        Assert.Equal(condensed, SampleSizes.Condense(values));
        Assert.Same(condensed, condensed.Condensed());
        Assert.Equal(condensed, whole.Condensed());
    }

    [Fact]
    public void Condense_CoarseClock_LosesNothing()
    {
        double[] values = new double[100_000];
        new ExponentialSizes(0.05).Fill(new RandomSource(22), values);
        for (int i = 0; i < values.Length; i++)
            values[i] = Math.Round(values[i], 3);
        var whole = new SampleSizes(values);
        SampleSizes condensed = SampleSizes.Condense(values);
        Assert.InRange(condensed.Values.Count, 100, 1000);
        Assert.Equal(1, condensed.StandardDeviation / whole.StandardDeviation, 1e-12);
        foreach (double at in new[] { 0, 0.001, 0.0105, 0.2 })
            Assert.Equal(whole.Survival(at), condensed.Survival(at));
        Assert.Equal(1, condensed.ExpectedLongest(50) / whole.ExpectedLongest(50), 1e-12);
    }

    [Fact]
    public void Condense_FewValues_LeavesThemAsTheyAre() =>
        Assert.Equal(new SampleSizes([3, 1, 2]), SampleSizes.Condense([3, 1, 2]));

    [Fact]
    public void OfGroups_Draws_ComeAsOftenAsTheirCounts()
    {
        var sizes = SampleSizes.OfGroups([5, 1, 0, 9], [1, 70, 28, 1]);
        Assert.Equal(100, sizes.Count);
        Assert.Equal(0.84, sizes.Mean, 1e-12);
        Assert.Equal(0.02, sizes.Survival(1));
        double[] drawn = new double[200_000];
        sizes.Fill(new RandomSource(23), drawn);
        foreach ((double value, double chance) in new[] { (5.0, 0.01), (1.0, 0.7), (0.0, 0.28), (9.0, 0.01) })
        {
            double slack = 4.5 * Math.Sqrt(chance * (1 - chance) / drawn.Length);
            Assert.InRange(drawn.Count(x => x == value) / (double)drawn.Length, chance - slack, chance + slack);
        }

        // Every rank finds its group, whatever the sizes of the groups.
        var random = new RandomSource(24);
        int[] counts = [.. Enumerable.Range(0, 300).Select(_ => 1 + (int)(random.NextExponential() * random.NextExponential() * 40))];
        var uneven = SampleSizes.OfGroups(Enumerable.Range(1, 300).Select(i => (double)i), counts);
        int rank = 0;
        for (int group = 0; group < counts.Length; group++)
        {
            for (int i = 0; i < counts[group]; i++)
                Assert.Equal(group + 1, uneven.AtRank(rank++));
        }

        Assert.Equal(uneven.Count, rank);
    }

    [Fact]
    public void OfGroups_Equality_LooksAtCounts()
    {
        Assert.Equal(SampleSizes.OfGroups([1, 2], [3, 4]), SampleSizes.OfGroups([1, 2], [3, 4]));
        Assert.NotEqual(SampleSizes.OfGroups([1, 2], [3, 4]), SampleSizes.OfGroups([1, 2], [4, 3]));
        Assert.Equal(new SampleSizes([1, 2]), SampleSizes.OfGroups([1, 2], [1, 1]));
        Assert.Equal(SampleSizes.OfGroups([1, 2], [3, 4]).GetHashCode(), SampleSizes.OfGroups([1, 2], [3, 4]).GetHashCode());
    }

    [Fact]
    public void OfGroups_FiguresOutsideTheirRange_AreRefused()
    {
        Assert.Throws<ArgumentException>("counts", () => SampleSizes.OfGroups([1, 2], [1]));
        Assert.Throws<ArgumentOutOfRangeException>("counts", () => SampleSizes.OfGroups([1, 2], [2, 0]));
        Assert.Throws<ArgumentOutOfRangeException>("values", () => SampleSizes.OfGroups([1, -2], [2, 1]));
        Assert.Throws<ArgumentException>("values", () => SampleSizes.OfGroups([0], [2]));
        Assert.Throws<OverflowException>(() => SampleSizes.OfGroups([1, 2], [int.MaxValue, 1]));
        Assert.Throws<ArgumentException>("values", () => SampleSizes.Condense(new double[30_000]));
    }
}
