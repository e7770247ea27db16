using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Tests.Reading;

public sealed class NumberTextTests
{
    [Theory]
    [InlineData("12", 12)]
    [InlineData("1234.5", 1234.5)]
    [InlineData("1,234.5", 1234.5)]
    [InlineData("1.234,5", 1234.5)]
    [InlineData("1 234,5", 1234.5)]
    [InlineData("1\u00A0234,5", 1234.5)]
    [InlineData("1\u202F234.5", 1234.5)]
    [InlineData("1\u2009234\u2009567", 1234567)]
    [InlineData("1'234'567.25", 1234567.25)]
    [InlineData("1’234", 1234)]
    [InlineData("1_234_567", 1234567)]
    [InlineData("1,234,567", 1234567)]
    [InlineData("1.234.567", 1234567)]
    [InlineData("1,234,567.8", 1234567.8)]
    [InlineData("58,6", 58.6)]
    [InlineData("0,125", 0.125)]
    [InlineData("1234,567", 1234.567)]
    [InlineData(".5", 0.5)]
    [InlineData(",5", 0.5)]
    [InlineData("12.", 12)]
    [InlineData("1e-3", 0.001)]
    [InlineData("1,5E+3", 1500)]
    [InlineData("2e\u22123", 0.002)]
    [InlineData("+7", 7)]
    [InlineData("-7.5", -7.5)]
    [InlineData("\u22127", -7)]
    [InlineData("\u20137", -7)]
    [InlineData("  42\t", 42)]
    [InlineData("٤٢", 42)]
    [InlineData("１２．５", 0, false)]
    [InlineData("１２", 12)]
    [InlineData("", 0, false)]
    [InlineData("-", 0, false)]
    [InlineData(".", 0, false)]
    [InlineData("12,", 0, false)]
    [InlineData("- 7", 0, false)]
    [InlineData("1,23,456", 0, false)]
    [InlineData("12 34", 0, false)]
    [InlineData("1 234 5", 0, false)]
    [InlineData("1,234'567", 0, false)]
    [InlineData("1.2.3", 0, false)]
    [InlineData("1,234.567,8", 0, false)]
    [InlineData("1.234,567.8", 0, false)]
    [InlineData("1e", 0, false)]
    [InlineData("1e400", 0, false)]
    [InlineData("0x10", 0, false)]
    [InlineData("12 s", 0, false)]
    [InlineData("NaN", 0, false)]
    [InlineData("Infinity", 0, false)]
    public void TryRead_Text_GivesTheNumberOrRefuses(string text, double number, bool isNumber = true)
    {
        Assert.Equal(isNumber, NumberText.TryRead(text, out var value));
        Assert.Equal(number, value);
    }

    [Theory]
    [InlineData("1,234", DecimalMark.Unknown, 1234)]
    [InlineData("1,234", DecimalMark.Point, 1234)]
    [InlineData("1,234", DecimalMark.Comma, 1.234)]
    [InlineData("1.234", DecimalMark.Unknown, 1.234)]
    [InlineData("1.234", DecimalMark.Point, 1.234)]
    [InlineData("1.234", DecimalMark.Comma, 1234)]
    [InlineData("-12,345", DecimalMark.Comma, -12.345)]
    public void TryRead_OneMarkBeforeThreeDigits_IsAmbiguousAndTheKnownMarkDecides(string text, DecimalMark known, double number)
    {
        Assert.True(NumberText.TryRead(text, known, out var reading));
        Assert.Equal(number, reading.Value);
        Assert.True(reading.IsAmbiguous);
        Assert.Equal(DecimalMark.Unknown, reading.Mark);
    }

    [Theory]
    [InlineData("1234", DecimalMark.Unknown)]
    [InlineData("1 234", DecimalMark.Unknown)]
    [InlineData("12.5", DecimalMark.Point)]
    [InlineData("0.125", DecimalMark.Point)]
    [InlineData("1,234.5", DecimalMark.Point)]
    [InlineData("1,234,567", DecimalMark.Point)]
    [InlineData("12,5", DecimalMark.Comma)]
    [InlineData("0,125", DecimalMark.Comma)]
    [InlineData("1.234,5", DecimalMark.Comma)]
    [InlineData("1.234.567", DecimalMark.Comma)]
    [InlineData("1 234,567", DecimalMark.Comma)]
    public void TryRead_MarksWithOneReading_ShowTheWritersDecimalMark(string text, DecimalMark shown)
    {
        // The known mark contradicts on purpose: it decides only what the text leaves open.
        var contrary = shown == DecimalMark.Comma ? DecimalMark.Point : DecimalMark.Comma;
        Assert.True(NumberText.TryRead(text, contrary, out var reading));
        Assert.False(reading.IsAmbiguous);
        Assert.Equal(shown, reading.Mark);
    }
}
