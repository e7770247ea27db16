using AngleSharp.Dom;
using Bunit;
using Capacityplan.Core.Fitting;
using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Tests.Charts;

public sealed class NightDrawingTests : BunitContext
{
    private static readonly Band s_ordinary = new(2424, 2300, 2560);
    private static readonly Band s_heavy = new(3420, 3200, 3700);

    [Fact]
    public void NightLane_TellsBothKindsOfNightsOnTheClock()
    {
        IRenderedComponent<NightLane> lane = Lane(s_heavy, 14, new TimeOnly(4, 0));

        Assert.Equal("Heron-16 is done at 04:40 on ordinary nights and at 04:57 on heavy nights; the window closes at 05:00.", lane.Find("svg").GetAttribute("aria-label"));
        Assert.Equal(["13 nights in 14", "done 04:40", "heavy nights, 1 in 14", "04:57", "04:00", "04:30", "05:00"], lane.FindAll("text").Select(text => text.TextContent));
        Assert.Equal("0 0 336 80", lane.Find("svg").GetAttribute("viewBox"));
        Assert.Equal(2, lane.FindAll(".post").Count);
    }

    [Fact]
    public void NightLane_OfNightsAlike_HasOneRow()
    {
        IRenderedComponent<NightLane> lane = Lane(null, null, new TimeOnly(4, 0));

        Assert.Equal("Heron-16 is done at 04:40; the window closes at 05:00.", lane.Find("svg").GetAttribute("aria-label"));
        Assert.Single(lane.FindAll(".post"));
    }

    [Fact]
    public void NightLane_WithoutAClock_CountsFromTheStart()
    {
        IRenderedComponent<NightLane> lane = Lane(null, null, null);

        Assert.Equal(["every night", "done 40\u00A0min", "0", "30\u00A0min", "60\u00A0min"], lane.FindAll("text").Select(text => text.TextContent));
    }

    [Fact]
    public void NightLane_PastMidnight_GoesOnWithTheClock()
    {
        IRenderedComponent<NightLane> lane = Lane(null, null, new TimeOnly(23, 30));

        Assert.Contains("done 00:10", lane.FindAll("text").Select(text => text.TextContent));
    }

    [Fact]
    public void WindowStrip_PlacesEverythingAsSharesOfItsScale()
    {
        IRenderedComponent<WindowStrip> strip = Strip(s_heavy, 3600);

        // 96.5 % of the strip is its scale, here of 5,400 s.
        Assert.Equal("43.32%", strip.Find(".post").GetAttribute("x1"));
        Assert.Equal("64.33%", strip.Find(".win").GetAttribute("x1"));
        Assert.Equal("41.1%", strip.Find(".band").GetAttribute("x"));
        Assert.Equal("4.65%", strip.Find(".band").GetAttribute("width"));
        Assert.Equal("40\u00A0min against a 60\u00A0min window, 57\u00A0min on a heavy night", strip.Find("svg").GetAttribute("aria-label"));
        Assert.Single(strip.FindAll(".ptx"));
    }

    [Fact]
    public void WindowStrip_PastTheEndOfItsScale_PointsThere()
    {
        IRenderedComponent<WindowStrip> strip = Strip(new Band(9000, 8800, 9100), 3600);

        IElement heavy = strip.FindAll("svg.beyond")[0];
        Assert.Equal("96.5%", heavy.GetAttribute("x"));
        Assert.NotNull(heavy.QuerySelector(".lead-l"));
    }

    [Fact]
    public void WindowStrip_WithoutAWindow_SaysTheTimeAndItsBand()
    {
        IRenderedComponent<WindowStrip> strip = Strip(null, null);

        Assert.Empty(strip.FindAll(".win"));
        Assert.Equal("40\u00A0min (38 to 43)", strip.Find("svg").GetAttribute("aria-label"));
    }

    [Fact]
    public void Scale_HasRoomForTheWindowAndForMostRows()
    {
        Assert.Equal(5400, WindowStrip.ScaleFor(3600, [600, 2400]));
        Assert.Equal(7200, WindowStrip.ScaleFor(3600, [600, 90_000]));
        Assert.Equal(1100, WindowStrip.ScaleFor(null, [1000]), 9);
    }

    private IRenderedComponent<NightLane> Lane(Band? heavy, double? heavyOneIn, TimeOnly? startsAt) => Render<NightLane>(parameters => parameters
        .Add(lane => lane.StartToFinish, s_ordinary)
        .Add(lane => lane.Heavy, heavy)
        .Add(lane => lane.HeavyOneIn, heavyOneIn)
        .Add(lane => lane.StartUpSeconds, 45)
        .Add(lane => lane.WindowSeconds, 3600)
        .Add(lane => lane.StartsAt, startsAt)
        .Add(lane => lane.Machine, "Heron-16"));

    private IRenderedComponent<WindowStrip> Strip(Band? heavy, double? windowSeconds) => Render<WindowStrip>(parameters => parameters
        .Add(strip => strip.StartToFinish, s_ordinary)
        .Add(strip => strip.Heavy, heavy)
        .Add(strip => strip.StartUpSeconds, 45)
        .Add(strip => strip.WindowSeconds, windowSeconds)
        .Add(strip => strip.ScaleMaxSeconds, 5400));
}
