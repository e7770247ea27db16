using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Core.Tests.Planning;

public sealed class FiguresTests
{
    [Theory]
    [InlineData(0, "0.0 s")]
    [InlineData(0.000_002_5, "2.5 µs")]
    [InlineData(0.032, "32 ms")]
    [InlineData(0.9996, "1.0 s")]
    [InlineData(9.4, "9.4 s")]
    [InlineData(9.96, "10 s")]
    [InlineData(89, "89 s")]
    [InlineData(90, "1.5 min")]
    [InlineData(597.5, "10 min")]
    [InlineData(2400, "40 min")]
    [InlineData(5369, "89 min")]
    [InlineData(5400, "1 h 30")]
    [InlineData(6299, "1 h 45")]
    [InlineData(172_799, "48 h 00")]
    [InlineData(172_800, "2.0 days")]
    [InlineData(8_640_000, "100 days")]
    public void Time_OfEachScale_IsWrittenAsTheRulesSay(double seconds, string written) =>
        Assert.Equal(written.Replace(' ', Figures.NoBreakSpace), Figures.Time(seconds));

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(-1)]
    [InlineData(double.PositiveInfinity)]
    public void Time_OfNonsense_IsRefused(double seconds) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => Figures.Time(seconds));

    [Theory]
    [InlineData(2400, 2280, 2580, "40 min (38 to 43)")]
    [InlineData(5100, 4800, 5700, "85 min (80 min to 1 h 35)")]
    [InlineData(12_000, 11_000, 13_000, "3 h 20 (3 h 03 to 3 h 37)")]
    [InlineData(88, 80, 100, "88 s (80 s to 1.7 min)")]
    public void TimeWithBand_SaysTheUnitOnceWhereItCan(double median, double low, double high, string written) =>
        Assert.Equal(written, Figures.TimeWithBand(new Band(median, low, high)).Replace(Figures.NoBreakSpace, ' '));

    [Theory]
    [InlineData(75, 2580, "1 min")]
    [InlineData(20, 2580, "under 1 min")]
    [InlineData(2.44, 3600, "under 1 min")]
    [InlineData(75, 300, "1.3 min")]
    [InlineData(7_500, 12_000, "2 h 05")]
    [InlineData(600, 12_000, "10 min")]
    [InlineData(3, 80, "3 s")]
    public void Difference_IsNoFinerThanTheTimes(double seconds, double of, string written) =>
        Assert.Equal(written, Figures.Difference(seconds, of).Replace(Figures.NoBreakSpace, ' '));

    [Theory]
    [InlineData(0, "fewer than 1 of 100", "under 1")]
    [InlineData(0.0099, "fewer than 1 of 100", "under 1")]
    [InlineData(0.01, "1 of 100", "1")]
    [InlineData(0.9899, "98 of 100", "98")]
    [InlineData(0.99, "99 of 100", "99")]
    [InlineData(0.991, "more than 99 of 100", "99+")]
    [InlineData(1, "more than 99 of 100", "99+")]
    public void Chance_IsRoundedDownAndNeverCertain(double chance, string written, string brief)
    {
        Assert.Equal(written, Figures.Chance(chance));
        Assert.Equal(brief, Figures.ChanceBrief(chance).Replace(Figures.NoBreakSpace, ' '));
    }

    [Theory]
    [InlineData(0.95, "19 nights in 20")]
    [InlineData(0.5, "1 nights in 2")]
    [InlineData(0.97, "97 nights in 100")]
    public void Target_IsSaidInNights(double target, string written) => Assert.Equal(written, Figures.Target(target));

    [Theory]
    [InlineData("1.012", "EUR", "€1.01")]
    [InlineData("1.005", "EUR", "€1.01")]
    [InlineData("1234.5", "USD", "$1,234.50")]
    [InlineData("0.00123", "GBP", "£0.0012")]
    [InlineData("0.0099", "EUR", "€0.0099")]
    [InlineData("-0.1", "EUR", "−€0.10")]
    [InlineData("0", "EUR", "€0.00")]
    [InlineData("5", "CHF", "CHF 5.00")]
    public void MoneyOfRun_HasTwoDecimalsOrTwoDigits(string amount, string currency, string written) =>
        Assert.Equal(written, Figures.MoneyOfRun(decimal.Parse(amount, System.Globalization.CultureInfo.InvariantCulture), currency).Replace(Figures.NoBreakSpace, ' '));

    [Theory]
    [InlineData("30.76", "€31")]
    [InlineData("1234.5", "€1,235")]
    [InlineData("9.4", "€9.40")]
    public void MoneyOfMonth_IsWhole(string amount, string written) =>
        Assert.Equal(written, Figures.MoneyOfMonth(decimal.Parse(amount, System.Globalization.CultureInfo.InvariantCulture), "EUR"));

    [Theory]
    [InlineData(7.96, "8.0 times")]
    [InlineData(9.96, "10 times")]
    [InlineData(1234, "1,234 times")]
    public void Times_HasADecimalBelowTen(double ratio, string written) => Assert.Equal(written, Figures.Times(ratio));

    [Theory]
    [InlineData(0.0195, "2%")]
    [InlineData(0.031, "3.1%")]
    [InlineData(-0.0023, "−0.2%")]
    [InlineData(0.25, "25%")]
    public void Percent_HasADecimalBelowTen(double share, string written) =>
        Assert.Equal(written.Replace("%", Figures.NoBreakSpace + "%", StringComparison.Ordinal), Figures.Percent(share));

    [Theory]
    [InlineData("60 min", "a")]
    [InlineData("18 min", "an")]
    [InlineData("8.0 min", "an")]
    [InlineData("11 min", "an")]
    [InlineData("110 s", "a")]
    [InlineData("1 h 45", "a")]
    public void Article_FitsTheSpokenFigure(string figure, string article) =>
        Assert.Equal(article, Figures.Article(figure.Replace(' ', Figures.NoBreakSpace)));
}
