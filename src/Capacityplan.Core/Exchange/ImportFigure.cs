using System.Globalization;
using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Exchange;

/// <summary>Rewrites the figures of a file as the catalogue's cells have them; what is no figure stays as it stands.</summary>
internal static class ImportFigure
{
    /// <summary>A figure as a text that leaves nothing open: 1,234 with a decimal comma is 1.2340.</summary>
    /// <param name="cell">The cell.</param>
    /// <param name="unit">What a bare number counts; null where there is nothing to choose.</param>
    /// <param name="mark">The file's decimal mark.</param>
    /// <param name="currency">The currency that stands in the cell beside an amount; null for none.</param>
    public static string Plain(FileCell cell, ColumnUnit? unit, DecimalMark mark, out string? currency)
    {
        string text = WithoutCurrency(cell.Text.Trim(), out currency);
        decimal factor = unit?.Factor ?? 1;
        if (factor == 0.01m && text.EndsWith('%'))
            text = text[..^1].TrimEnd();
        if (!NumberText.TryRead(text, cell.IsNumber ? DecimalMark.Point : mark, out NumberReading reading))
            return text;
        return Written(text, reading, cell.IsNumber, factor) + unit?.Suffix;
    }

    /// <summary>The decimal mark the figures of a file prove; a comma where semicolons part its columns and nothing says otherwise.</summary>
    public static DecimalMark MarkOf(IEnumerable<FileCell> figures, bool isPartedBySemicolons)
    {
        int points = 0, commas = 0;
        foreach (FileCell cell in figures)
        {
            if (cell.IsNumber || !NumberText.TryRead(WithoutCurrency(cell.Text.Trim(), out _), DecimalMark.Unknown, out NumberReading reading))
                continue;
            points += reading.Mark == DecimalMark.Point ? 1 : 0;
            commas += reading.Mark == DecimalMark.Comma ? 1 : 0;
        }

        return commas > points ? DecimalMark.Comma : points > 0 ? DecimalMark.Point : isPartedBySemicolons ? DecimalMark.Comma : DecimalMark.Unknown;
    }

    /// <summary>"€1.50", "1.50 EUR", "$0.20/h" without what is not the number.</summary>
    private static string WithoutCurrency(string text, out string? currency)
    {
        currency = null;
        if (text.Length is 0 or > 60)
            return text;
        string left = text;
        foreach (char letter in text)
        {
            if (HeadingTokens.CurrencyOf(letter) is not { } signed)
                continue;
            currency = signed;
            left = text.Replace(letter.ToString(), "", StringComparison.Ordinal).Trim();
            break;
        }

        if (currency is null && text.Length > 3)
        {
            string first = text[..3].ToUpperInvariant(), last = text[^3..].ToUpperInvariant();
            if (HeadingTokens.IsCurrency(first) && !char.IsLetter(text[3]))
                (currency, left) = (first, text[3..].Trim());
            else if (HeadingTokens.IsCurrency(last) && !char.IsLetter(text[^4]))
                (currency, left) = (last, text[..^3].Trim());
        }

        if (currency is null)
            return text;
        int slash = left.IndexOf('/', StringComparison.Ordinal);
        return slash > 0 ? left[..slash].Trim() : left;
    }

    private static string Written(string text, NumberReading reading, bool isNumber, decimal factor)
    {
        // Where every digit can be kept it is; else the number's fifteen to seventeen.
        bool isExact = decimal.TryParse(text, NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent | NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out decimal exact)
            && double.Parse(exact.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture) == reading.Value;
        string shortest = reading.Value.ToString("R", CultureInfo.InvariantCulture);
        if (isExact && isNumber && Digits(text) is 16 or 17 or 18 && Digits(shortest) <= 12 && decimal.TryParse(shortest, NumberStyles.Float, CultureInfo.InvariantCulture, out decimal rounded))
            exact = rounded; // a spreadsheet may write 0.1 as 0.10000000000000001
        if (!isExact && (Math.Abs(reading.Value) is > 1e15 or < 1e-9 || !decimal.TryParse(shortest, NumberStyles.Float, CultureInfo.InvariantCulture, out exact)))
            return reading.Value == 0 ? "0" : factor == 1 ? shortest : (reading.Value * (double)factor).ToString("R", CultureInfo.InvariantCulture);
        decimal scaled = exact;
        if (factor != 1)
        {
            if (Math.Abs(reading.Value) > 1e15)
                return (reading.Value * (double)factor).ToString("R", CultureInfo.InvariantCulture);
            // A year's price in months has endless decimals: ten are far below a cent.
            scaled = Math.Round(exact * factor, 10);
        }

        string plain = scaled.ToString("0.############################", CultureInfo.InvariantCulture);
        int point = plain.IndexOf('.', StringComparison.Ordinal);
        // Exactly three decimals could be thousands; a fourth settles it.
        return point > 0 && plain.Length - point == 4 ? plain + "0" : plain;
    }

    private static int Digits(string text) => text.Count(char.IsDigit);
}
