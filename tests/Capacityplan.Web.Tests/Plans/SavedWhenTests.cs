using System.Globalization;
using Capacityplan.Web.Components.Plans;

namespace Capacityplan.Web.Tests.Plans;

public sealed class SavedWhenTests
{
    [Theory]
    [InlineData("2026-11-24T21:14:00Z", "today 21:14")]
    [InlineData("2026-11-24T00:00:00Z", "today 00:00")]
    [InlineData("2026-11-25T01:00:00Z", "today 01:00")]
    [InlineData("2026-11-23T23:59:00Z", "yesterday 23:59")]
    [InlineData("2026-11-22T08:00:00Z", "Sunday")]
    [InlineData("2026-11-18T08:00:00Z", "Wednesday")]
    [InlineData("2026-11-17T08:00:00Z", "17 Nov")]
    [InlineData("2025-12-31T08:00:00Z", "31 Dec 2025")]
    public void Words_OfAMoment_AreTheFewestThatTellWhen(string saved, string words) =>
        Assert.Equal(words, SavedWhen.Words(Moment(saved), Moment("2026-11-24T22:00:00Z")));

    private static DateTimeOffset Moment(string text) => DateTimeOffset.Parse(text, CultureInfo.InvariantCulture);
}
