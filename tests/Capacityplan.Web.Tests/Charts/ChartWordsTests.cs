using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Tests.Charts;

public sealed class ChartWordsTests
{
    [Theory]
    [InlineData(1, "one")]
    [InlineData(12, "twelve")]
    [InlineData(40, "forty")]
    [InlineData(64, "sixty-four")]
    [InlineData(99, "ninety-nine")]
    [InlineData(120, "120")]
    [InlineData(10.5, "10.5")]
    public void Number_InATitle_IsInWordsWhereItIsWholeAndSmall(double value, string text) => Assert.Equal(text, ChartWords.Number(value));

    [Theory]
    [InlineData(1.0, "1 core")]
    [InlineData(16.0, "16 cores")]
    [InlineData(10.5, "10.5 cores' worth")]
    public void Cores_AreCountedOrWeighed(double cores, string text) =>
        Assert.Equal(text, ChartWords.Cores(cores).Replace(Figures.NoBreakSpace, ' '));

    [Theory]
    [InlineData(1.004, "about the same")]
    [InlineData(1.18, "18 % more")]
    [InlineData(1.25, "a quarter more")]
    [InlineData(1.33, "a third more")]
    [InlineData(1.5, "half as much again")]
    [InlineData(2.0, "twice as much")]
    [InlineData(4.04, "4.0 times as much")]
    public void HowMuchMore_IsSaidAsPeopleSayIt(double ratio, string text) =>
        Assert.Equal(text, ChartWords.HowMuchMore((decimal)ratio, 1m).Replace(Figures.NoBreakSpace, ' '));

    [Theory]
    [InlineData(0.8, "8 nights in 10")]
    [InlineData(0.95, "19 nights in 20")]
    public void Nights_NameTheShareOfABand(double share, string text) => Assert.Equal(text, ChartWords.Nights(share));

    [Theory]
    [InlineData("40 min", "10 min", "10")]
    [InlineData("2 h 10", "10 min", "10 min")]
    [InlineData("40 min", "50 s", "50 s")]
    public void After_DropsAUnitAlreadySaid(string first, string second, string text) =>
        Assert.Equal(text, ChartWords.After(first.Replace(' ', Figures.NoBreakSpace), second.Replace(' ', Figures.NoBreakSpace)).Replace(Figures.NoBreakSpace, ' '));

    [Theory]
    [InlineData("Heron-16", "Heron", "16")]
    [InlineData("big-heron-16", "big-heron", "16")]
    [InlineData("Heron", "", "Heron")]
    [InlineData("-16", "", "-16")]
    [InlineData("Heron-large", "", "Heron-large")]
    public void MachineLabel_OfAName_SplitsFamilyAndSize(string name, string family, string size) =>
        Assert.Equal(new MachineLabel(name, family, size), MachineLabel.Of(name));

    [Fact]
    public void ValueLists_AreEqualByTheirItems()
    {
        ValueList<int> one = [1, 2, 3], same = [1, 2, 3], other = [1, 2, 4];

        Assert.Equal(one, same);
        Assert.Equal(one.GetHashCode(), same.GetHashCode());
        Assert.NotEqual(one, other);
        Assert.NotEqual(one, [1, 2]);
        Assert.Equal(default, (ValueList<int>)[]);
    }
}
