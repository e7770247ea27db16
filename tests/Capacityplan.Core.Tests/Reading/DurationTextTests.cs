using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Tests.Reading;

public sealed class DurationTextTests
{
    [Theory]
    [InlineData("12.3", 12.3)]
    [InlineData("12.3s", 12.3)]
    [InlineData("12,3 s", 12.3)]
    [InlineData("12.3 sec", 12.3)]
    [InlineData("12 secs", 12)]
    [InlineData("12 SECONDS", 12)]
    [InlineData("1 second", 1)]
    [InlineData("4 420 s", 4420)]
    [InlineData("1,234.5 s", 1234.5)]
    [InlineData("1e-3 s", 0.001)]
    [InlineData("1e3s", 1000)]
    [InlineData("500 ms", 0.5)]
    [InlineData("500msec", 0.5)]
    [InlineData("3 us", 3e-6)]
    [InlineData("3 \u00B5s", 3e-6)]
    [InlineData("3\u03BCs", 3e-6)]
    [InlineData("0.2 microseconds", 2e-7)]
    [InlineData("50 ns", 5e-8)]
    [InlineData("104.1 min", 6246)]
    [InlineData("58,6 min", 3516)]
    [InlineData("3 minutes", 180)]
    [InlineData("5m", 300)]
    [InlineData("2 min.", 120)]
    [InlineData("1.5 hrs", 5400)]
    [InlineData("2 hours", 7200)]
    [InlineData("6h 28m", 23280)]
    [InlineData("1h45m50s", 6350)]
    [InlineData("1m23.4s", 83.4)]
    [InlineData("0m12.3s", 12.3)]
    [InlineData("56m50", 3410)]
    [InlineData("1h30", 5400)]
    [InlineData("1 h 45", 6300)]
    [InlineData("1 hour and 5 minutes", 3900)]
    [InlineData("2 min, 3 s", 123)]
    [InlineData("2 s 500 ms", 2.5)]
    [InlineData("0:01:23", 83)]
    [InlineData("3:16:40", 11800)]
    [InlineData("12:34.5", 754.5)]
    [InlineData("12:34,5", 754.5)]
    [InlineData("90:00", 5400)]
    [InlineData("00:00:00.250", 0.25)]
    [InlineData("1:02:03:04", 93784)]
    [InlineData("3:16 h", 11760)]
    [InlineData("3:16:40 h", 11800)]
    [InlineData("12:34 min", 754)]
    [InlineData("2 days", 172800)]
    [InlineData("1d 2h", 93600)]
    [InlineData("1 day, 2:03:04", 93784)]
    [InlineData("1 week", 604800)]
    [InlineData("300 years", 300 * 365.25 * 86400)]
    [InlineData("PT1H2M3.5S", 3723.5)]
    [InlineData("PT12,5S", 12.5)]
    [InlineData("P1DT2H", 93600)]
    [InlineData("P2W", 1209600)]
    [InlineData("pt5m", 300)]
    [InlineData("1'40\"", 100)]
    [InlineData("1'40", 100)]
    [InlineData("1′40″", 100)]
    [InlineData("2 Std. 30 Min.", 9000)]
    [InlineData("3 heures et 5 minutes", 11100)]
    [InlineData("13分32秒", 812)]
    [InlineData("12 сек", 12)]
    [InlineData("-5 s", -5)]
    [InlineData("\u22125", -5)]
    [InlineData("-1h30m", -5400)]
    [InlineData("0", 0)]
    public void TryRead_Duration_GivesSeconds(string text, double seconds)
    {
        Assert.True(DurationText.TryRead(text, out var read));
        Assert.Equal(seconds, read, 1e-12 * Math.Abs(seconds));
    }

    [Theory]
    [InlineData("")]
    [InlineData(" ")]
    [InlineData("s")]
    [InlineData("fast")]
    [InlineData("12 parsecs")]
    [InlineData("12 s 5 min")]
    [InlineData("12 s 5 s")]
    [InlineData("56m70")]
    [InlineData("12s5")]
    [InlineData("1:60")]
    [InlineData("1:75:00")]
    [InlineData("1:25:00:00")]
    [InlineData("1:2:3:4:5")]
    [InlineData("12:")]
    [InlineData(":34")]
    [InlineData("12:345")]
    [InlineData("P")]
    [InlineData("PT")]
    [InlineData("P1Y")]
    [InlineData("P1M")]
    [InlineData("P1DT")]
    [InlineData("PT3S2M")]
    [InlineData("PT1H2")]
    [InlineData("NaN")]
    [InlineData("1e400 s")]
    [InlineData("9e307 years")]
    [InlineData("12 s warm")]
    [InlineData("- 5 s")]
    [InlineData("1\"40")]
    [InlineData("1'")]
    public void TryRead_NoDuration_IsRefused(string text) => Assert.False(DurationText.TryRead(text, out _));

    [Theory]
    [InlineData("12", 60, false, 720, null)]
    [InlineData("12 s", 60, true, 12, 1.0)]
    [InlineData("12 min", 1, true, 720, 60.0)]
    [InlineData("6:28", 3600, true, 23280, null)]
    [InlineData("6:28", 60, true, 388, null)]
    [InlineData("0:06:28", 3600, true, 388, null)]
    [InlineData("1h 5m", 1, true, 3900, null)]
    public void TryRead_UnitOfTheCaller_CountsForBareNumbersOnly(string text, double unit, bool hasUnit, double seconds, double? unitSeconds)
    {
        Assert.True(DurationText.TryRead(text, unit, DecimalMark.Unknown, out var reading));
        Assert.Equal(hasUnit, reading.HasUnit);
        Assert.Equal(seconds, reading.Seconds, 1e-9);
        Assert.Equal(unitSeconds, reading.UnitSeconds);
    }

    [Theory]
    [InlineData("1,234 s", DecimalMark.Unknown, 1234, true)]
    [InlineData("1,234 s", DecimalMark.Comma, 1.234, true)]
    [InlineData("1.234 min", DecimalMark.Comma, 74040, true)]
    [InlineData("12,5 s", DecimalMark.Point, 12.5, false)]
    public void TryRead_OpenMark_IsToldAndDecidedByTheKnownMark(string text, DecimalMark known, double seconds, bool isAmbiguous)
    {
        Assert.True(DurationText.TryRead(text, 1, known, out var reading));
        Assert.Equal(seconds, reading.Seconds, 1e-9);
        Assert.Equal(isAmbiguous, reading.IsAmbiguous);
    }
}
