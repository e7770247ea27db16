using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Tests.Reading;

public sealed class ClockTextTests
{
    [Theory]
    [InlineData("04:00", 4, 0)]
    [InlineData("4:00", 4, 0)]
    [InlineData("0400", 4, 0)]
    [InlineData("400", 4, 0)]
    [InlineData("4", 4, 0)]
    [InlineData("4am", 4, 0)]
    [InlineData("4 PM", 16, 0)]
    [InlineData("4.30 pm", 16, 30)]
    [InlineData("4:30 p.m.", 16, 30)]
    [InlineData("12am", 0, 0)]
    [InlineData("12 pm", 12, 0)]
    [InlineData("16h30", 16, 30)]
    [InlineData("16 h", 16, 0)]
    [InlineData("16.30 Uhr", 16, 30)]
    [InlineData("5 o'clock", 5, 0)]
    [InlineData("23:59", 23, 59)]
    [InlineData("24:00", 0, 0)]
    [InlineData("noon", 12, 0)]
    [InlineData("midnight", 0, 0)]
    [InlineData(" 03:30 ", 3, 30)]
    public void TryRead_TimeOfDay_IsRead(string text, int hour, int minute)
    {
        Assert.True(ClockText.TryRead(text, out var time));
        Assert.Equal(new TimeOnly(hour, minute), time);
    }

    [Fact]
    public void TryRead_Seconds_AreKept()
    {
        Assert.True(ClockText.TryRead("23:59:59", out var time));
        Assert.Equal(new TimeOnly(23, 59, 59), time);
    }

    [Theory]
    [InlineData("")]
    [InlineData("25:00")]
    [InlineData("24:01")]
    [InlineData("4:60")]
    [InlineData("4:5")]
    [InlineData("13pm")]
    [InlineData("0am")]
    [InlineData("-4")]
    [InlineData("4:00:00:00")]
    [InlineData("12345")]
    [InlineData("soon")]
    [InlineData("4 in the morning or so")]
    public void TryRead_NoTimeOfDay_IsRefused(string text) => Assert.False(ClockText.TryRead(text, out _));
}

public sealed class MemoryTextTests
{
    [Theory]
    [InlineData("24", 24)]
    [InlineData("24 GiB", 24)]
    [InlineData("24gib", 24)]
    [InlineData("24G", 24)]
    [InlineData("24 GB", 24e9 / 1073741824)]
    [InlineData("512 MiB", 0.5)]
    [InlineData("512 MB", 512e6 / 1073741824)]
    [InlineData("1.5 TiB", 1536)]
    [InlineData("1,5 TiB", 1536)]
    [InlineData("2 TB", 2e12 / 1073741824)]
    [InlineData("1,048,576 KiB", 1)]
    [InlineData("1 073 741 824 bytes", 1)]
    [InlineData("0", 0)]
    public void TryRead_Amount_IsGivenInGibibytes(string text, double gibibytes)
    {
        Assert.True(MemoryText.TryRead(text, out var read));
        Assert.Equal(gibibytes, read, 1e-12 * Math.Max(1, gibibytes));
    }

    [Theory]
    [InlineData("")]
    [InlineData("GiB")]
    [InlineData("24 cores")]
    [InlineData("-1 GiB")]
    [InlineData("1e300 TiBs")]
    [InlineData("24 GiB free")]
    public void TryRead_NoAmount_IsRefused(string text) => Assert.False(MemoryText.TryRead(text, out _));
}

public sealed class RateOfRunsTextTests
{
    [Theory]
    [InlineData("every night", 30.4)]
    [InlineData("Every day", 30.4)]
    [InlineData("nightly", 30.4)]
    [InlineData("daily", 30.4)]
    [InlineData("runs every night", 30.4)]
    [InlineData("weekdays", 30.4 * 5 / 7)]
    [InlineData("every weekday", 30.4 * 5 / 7)]
    [InlineData("on weekday nights", 30.4 * 5 / 7)]
    [InlineData("working days", 30.4 * 5 / 7)]
    [InlineData("weekends", 30.4 * 2 / 7)]
    [InlineData("every Sunday", 30.4 / 7)]
    [InlineData("saturdays", 30.4 / 7)]
    [InlineData("weekly", 30.4 / 7)]
    [InlineData("once a week", 30.4 / 7)]
    [InlineData("every week", 30.4 / 7)]
    [InlineData("monthly", 1)]
    [InlineData("once a month", 1)]
    [InlineData("quarterly", 0.25)]
    [InlineData("once a year", 1.0 / 12)]
    [InlineData("twice a night", 60.8)]
    [InlineData("3 times a day", 91.2)]
    [InlineData("three times per day", 91.2)]
    [InlineData("5 nights a week", 30.4 * 5 / 7)]
    [InlineData("hourly", 729.6)]
    [InlineData("every hour", 729.6)]
    [InlineData("every 6 hours", 121.6)]
    [InlineData("every 15 minutes", 2918.4)]
    [InlineData("every other night", 15.2)]
    [InlineData("every second day", 15.2)]
    [InlineData("every 2nd day", 15.2)]
    [InlineData("30.4 a month", 30.4)]
    [InlineData("12 runs per month", 12)]
    [InlineData("12/month", 12)]
    [InlineData("12", 12)]
    [InlineData("30,4", 30.4)]
    [InlineData("1 200", 1200)]
    public void TryRead_HowOften_IsGivenInRunsAMonth(string text, double runs)
    {
        Assert.True(RateOfRunsText.TryRead(text, out var read));
        Assert.Equal(runs, read, 1e-9 * runs);
    }

    [Theory]
    [InlineData("")]
    [InlineData("0")]
    [InlineData("-3")]
    [InlineData("never")]
    [InlineData("often")]
    [InlineData("every")]
    [InlineData("every 0 hours")]
    [InlineData("3 times")]
    [InlineData("a night in May")]
    public void TryRead_NothingToCountOn_IsRefused(string text) => Assert.False(RateOfRunsText.TryRead(text, out _));
}

public sealed class ShareTextTests
{
    [Theory]
    [InlineData("1 %", BareShare.Percent, 0.01)]
    [InlineData("1%", BareShare.Share, 0.01)]
    [InlineData("2,5 percent", BareShare.Share, 0.025)]
    [InlineData("-3 %", BareShare.Percent, -0.03)]
    [InlineData("5 ‰", BareShare.Percent, 0.005)]
    [InlineData("1", BareShare.Percent, 0.01)]
    [InlineData("0.5", BareShare.Percent, 0.005)]
    [InlineData("0.01", BareShare.Share, 0.01)]
    [InlineData("1 in 20", BareShare.Percent, 0.05)]
    [InlineData("1/8", BareShare.Share, 0.125)]
    [InlineData("3 of 4", BareShare.Percent, 0.75)]
    public void TryRead_Share_IsGivenAsAFraction(string text, BareShare bare, double share)
    {
        Assert.True(ShareText.TryRead(text, bare, out var read));
        Assert.Equal(share, read, 1e-15);
    }

    [Theory]
    [InlineData("")]
    [InlineData("%")]
    [InlineData("a little")]
    [InlineData("1/0")]
    [InlineData("1 % a month")]
    public void TryRead_NoShare_IsRefused(string text) => Assert.False(ShareText.TryRead(text, BareShare.Percent, out _));
}
