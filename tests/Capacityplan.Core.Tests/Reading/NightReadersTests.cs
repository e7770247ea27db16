using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Tests.Reading;

public sealed class NightReadersTests
{
    [Theory]
    [InlineData("6 1.15\n12 1.4", new[] { 6, 12 }, new[] { 1.15, 1.4 })]
    [InlineData("month\tfactor\n6\t×1,15\n12\tx2", new[] { 6, 12 }, new[] { 1.15, 2.0 })]
    [InlineData("month 3: +15 %\n# then\nMonth 9: 150 %", new[] { 3, 9 }, new[] { 1.15, 1.5 })]
    [InlineData("| month | input |\n|---|---|\n| 6 | 1.5 |", new[] { 6 }, new[] { 1.5 })]
    [InlineData("6;-10 %", new[] { 6 }, new[] { 0.9 })]
    [InlineData("", new int[0], new double[0])]
    public void GrowthTable_InManyShapes_IsRead(string text, int[] months, double[] factors)
    {
        GrowthTableReading read = GrowthTableReader.Read(text);

        Assert.Equal(months, read.Points.Select(point => point.Month));
        Assert.All(read.Points.Zip(factors), pair => Assert.Equal(pair.Second, pair.First.Factor, 1e-12));
        Assert.Empty(read.Problems);
    }

    [Theory]
    [InlineData("6 1.15\n6 2", 2, 1, "does not come after")]
    [InlineData("0 1.15", 1, 1, "out of range")]
    [InlineData("6 lots", 1, 3, "not an input")]
    [InlineData("6 1.2\n  spring 2", 2, 3, "not a month")]
    [InlineData("6 0", 1, 3, "not an input")]
    [InlineData("99999999999999999999 2", 1, 1, "not a month")]
    public void GrowthTable_WithRubbish_SaysWhere(string text, int line, int column, string words)
    {
        Problem problem = Assert.Single(GrowthTableReader.Read(text).Problems);

        Assert.Equal((line, column), (problem.Line, problem.Column));
        Assert.Contains(words, problem.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("2026-11-01  5.2 GB\n2026-11-02  4.9 GB\n2026-11-03  9.8 GB", false, new[] { 5.2, 4.9, 9.8 })]
    [InlineData("5 GB\n1,500 MB", false, new[] { 5, 1.5 })]
    [InlineData("52 min\n1h 10m\n3000 s", true, new[] { 3120.0, 4200, 3000 })]
    [InlineData("340000\n350000\n1200000", false, new[] { 340_000.0, 350_000, 1_200_000 })]
    [InlineData("night,run time (min)\n2026-11-01,40\n2026-11-02,58", true, new[] { 40.0, 58 })]
    public void PastNights_InManyShapes_AreRead(string text, bool areRunTimes, double[] nights)
    {
        PastNightsReading read = PastNightsReader.Read(text);

        Assert.Equal(nights.Select(night => Math.Round(night / nights[0], 9)), read.Values.Select(value => Math.Round(value / read.Values[0], 9)));
        Assert.Equal(areRunTimes, read.AreRunTimes);
        Assert.Empty(read.Problems);
    }

    [Fact]
    public void PastNights_WithANightThatCannotBeRead_SayWhere()
    {
        Problem size = Assert.Single(PastNightsReader.Read("5.2 GB\nfailed 3 times\n4 GB").Problems);
        Problem time = Assert.Single(PastNightsReader.Read("52 min\nlost\n50 min").Problems);

        Assert.Equal((2, 1), (size.Line, size.Column));
        Assert.Equal(2, time.Line);
        Assert.Equal(2, PastNightsReader.Read("52 min\nlost\n50 min").Values.Length);
    }
}
