using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Tests.Fitting;

/// <summary>Figures by hand.</summary>
public sealed class StrayRunTests
{
    [Fact]
    public void Of_OneRunTwiceItsRepeats_NamesIt()
    {
        StrayRun? stray = StrayRun.Of(Runs((1, [800, 805, 798]), (4, [205, 204, 206]), (8, [105, 104, 210])));

        Assert.Equal(8, stray!.Cores);
        Assert.Equal(2, stray.TimesMedian, 1e-9);
    }

    [Fact]
    public void Of_ARunFarTooFast_NamesIt() =>
        Assert.Equal(0.5, StrayRun.Of(Runs((2, [100, 50, 101, 100])))!.TimesMedian, 1e-9);

    [Theory]
    [InlineData("steady repeats, one a little off", 100, 101, 110)]
    [InlineData("repeats that all scatter", 100, 130, 160)]
    [InlineData("the same three times", 100, 100, 100)]
    public void Of_RunsAsOffAsTheOthers_IsNull(string what, double one, double two, double three) =>
        Assert.True(StrayRun.Of(Runs((4, [one, two, three]), (8, [one / 2, two / 2, three / 2]))) is null, what);

    [Fact]
    public void Of_TwoRunsOnly_CannotSayWhichIsOff() => Assert.Null(StrayRun.Of(Runs((1, [800, 400]), (2, [400, 200]))));

    [Fact]
    public void Of_SittingsThatDiffer_JudgesEachByItself() => Assert.Null(StrayRun.Of(
        [.. Runs((4, [100, 101, 102])), .. Runs((4, [150, 151, 152])).Select(run => new Timing(run.Cores, run.Seconds, sitting: 2))]));

    private static List<Timing> Runs(params (int Cores, double[] Seconds)[] counts) =>
        [.. counts.SelectMany(count => count.Seconds.Select(seconds => new Timing(count.Cores, seconds)))];
}
