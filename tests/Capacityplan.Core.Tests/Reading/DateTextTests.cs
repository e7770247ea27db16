using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Tests.Reading;

public sealed class DateTextTests
{
    [Theory]
    [InlineData("2026-11-03")]
    [InlineData(" 2026/11/3 ")]
    [InlineData("2026.11.03")]
    [InlineData("20261103")]
    [InlineData("3 Nov 2026")]
    [InlineData("03 november 2026")]
    [InlineData("Nov 3, 2026")]
    [InlineData("NOVEMBER  3,2026")]
    [InlineData("3.11.2026")]
    [InlineData("3-11-2026")]
    public void TryRead_ADayWrittenAnyWay_IsThatDay(string text)
    {
        Assert.True(DateText.TryRead(text, out DateOnly day));
        Assert.Equal(new DateOnly(2026, 11, 3), day);
    }

    [Theory]
    [InlineData("Nov 2026", 2026, 11, 1)]
    [InlineData("2026-11", 2026, 11, 1)]
    [InlineData("sept 2025", 2025, 9, 1)]
    [InlineData("5 sept 2025", 2025, 9, 5)]
    [InlineData("13/11/2026", 2026, 11, 13)]
    [InlineData("11/13/2026", 2026, 11, 13)]
    [InlineData("11/11/2026", 2026, 11, 11)]
    [InlineData("29 Feb 2024", 2024, 2, 29)]
    public void TryRead_AMonthOrSlashesThatLeaveNoDoubt_IsThatDay(string text, int year, int month, int dayOfMonth)
    {
        Assert.True(DateText.TryRead(text, out DateOnly day));
        Assert.Equal(new DateOnly(year, month, dayOfMonth), day);
    }

    [Theory]
    [InlineData("")]
    [InlineData("  ")]
    [InlineData("soon")]
    [InlineData("03/11/2026")]
    [InlineData("30 Feb 2026")]
    [InlineData("29 Feb 2026")]
    [InlineData("3 Nov")]
    [InlineData("3 Nov 26")]
    [InlineData("3 Nov 1066")]
    [InlineData("2026-13-01")]
    [InlineData("3 Nov 2026 and the rest of a long story about it")]
    public void TryRead_WhatIsNoDayOrCouldBeTwo_IsRefused(string text) => Assert.False(DateText.TryRead(text, out _));
}
