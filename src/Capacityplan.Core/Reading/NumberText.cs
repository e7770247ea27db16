using System.Globalization;

namespace Capacityplan.Core.Reading;

/// <summary>Which mark stands before the decimals.</summary>
public enum DecimalMark
{
    /// <summary>Not known; the text alone has to say.</summary>
    Unknown,

    /// <summary>A point, as in 12.5; commas then part thousands.</summary>
    Point,

    /// <summary>A comma, as in 12,5; points then part thousands.</summary>
    Comma,
}

/// <summary>A number as read from a text.</summary>
/// <param name="Value">The number; finite.</param>
/// <param name="IsAmbiguous">True for a text such as "1,234" or "1.234", which a mark before exactly three digits leaves open:
/// thousands or decimals. What was known of the marks, else the rule of <see cref="NumberText"/>, decided.</param>
/// <param name="Mark">The decimal mark this text proves its writer to use; <see cref="DecimalMark.Unknown"/> where it proves none.</param>
public readonly record struct NumberReading(double Value, bool IsAmbiguous, DecimalMark Mark);

/// <summary>
/// Reads a number as people write it: 1234.5, 1,234.5, 1.234,5, 1 234,5, 1'234.5, 1_234, 58,6, 1e-3, with any usual space
/// between thousands, a leading + or any usual minus, and digits of any script.
/// </summary>
/// <remarks>
/// Of two different marks the last is the decimal mark. A mark that comes more than once parts thousands. A single mark is
/// the decimal mark, unless one to three digits stand before it (the first not 0) and exactly three after: then the decimal
/// mark of the writer decides where it is known, else a comma parts thousands and a point is the decimal mark.
/// </remarks>
public static class NumberText
{
    /// <summary>The longest text taken for one number.</summary>
    internal const int Longest = 64;

    /// <summary>Reads a number whose writer's decimal mark is not known.</summary>
    /// <param name="text">The text; spaces around it are ignored.</param>
    /// <param name="value">The number; finite, of either sign.</param>
    /// <returns>False where the text is not a number, or is one too large to hold.</returns>
    public static bool TryRead(ReadOnlySpan<char> text, out double value)
    {
        var isNumber = TryRead(text, DecimalMark.Unknown, out var reading);
        value = reading.Value;
        return isNumber;
    }

    /// <summary>Reads a number and says how sure its marks are.</summary>
    /// <param name="text">The text; spaces around it are ignored.</param>
    /// <param name="mark">The writer's decimal mark, where other figures show it; it decides only what the text leaves open.</param>
    /// <param name="reading">The number and what its marks show.</param>
    /// <returns>False where the text is not a number, or is one too large to hold.</returns>
    public static bool TryRead(ReadOnlySpan<char> text, DecimalMark mark, out NumberReading reading)
    {
        reading = default;
        text = text.Trim();
        if (text.IsEmpty || text.Length > Longest)
            return false;

        Span<char> plain = stackalloc char[Longest + 1];
        var length = 0;
        if (IsMinus(text[0]) || text[0] == '+')
        {
            if (IsMinus(text[0]))
                plain[length++] = '-';
            text = text[1..];
        }

        var mantissa = text[..MantissaLength(text)];
        if (!TryReadMarks(mantissa, hasExponent: mantissa.Length < text.Length, mark, out var decimalAt, out var isAmbiguous, out var shown))
            return false;

        for (var i = 0; i < mantissa.Length; i++)
        {
            if (i == decimalAt)
                plain[length++] = '.';
            else if (char.IsDigit(mantissa[i]))
                plain[length++] = (char)('0' + CharUnicodeInfo.GetDecimalDigitValue(mantissa[i]));
        }

        foreach (var symbol in text[mantissa.Length..])
            plain[length++] = IsMinus(symbol) ? '-' : symbol;

        if (!double.TryParse(plain[..length], NumberStyles.Float, CultureInfo.InvariantCulture, out var value) || !double.IsFinite(value))
            return false;
        reading = new NumberReading(value, isAmbiguous, shown);
        return true;
    }

    /// <summary>True for the signs people type for minus; a dash followed by a space is no sign, and is not asked here.</summary>
    internal static bool IsMinus(char symbol) => symbol is '-' or '\u2212' or '\u2010' or '\u2011' or '\u2013' or '\uFE63' or '\uFF0D';

    /// <summary>True for marks that only ever part thousands.</summary>
    internal static bool IsThousandsMark(char symbol) =>
        symbol is '\'' or '’' or '_' || IsWideOrNarrowSpace(symbol) || symbol == ' ';

    /// <summary>True for the spaces typed on purpose inside a number: no-break, figure, thin and narrow no-break space.</summary>
    internal static bool IsWideOrNarrowSpace(char symbol) => symbol is '\u00A0' or '\u2007' or '\u2009' or '\u202F';

    private static int MantissaLength(ReadOnlySpan<char> text)
    {
        var at = text.IndexOfAny('e', 'E');
        if (at < 0)
            return text.Length;
        var exponent = text[(at + 1)..];
        if (!exponent.IsEmpty && (exponent[0] == '+' || IsMinus(exponent[0])))
            exponent = exponent[1..];
        return exponent.Length is > 0 and <= 4 && !exponent.ContainsAnyExceptInRange('0', '9') ? at : text.Length;
    }

    /// <summary>Finds the decimal mark of a mantissa, checking that every other mark stands where thousands part.</summary>
    private static bool TryReadMarks(
        ReadOnlySpan<char> mantissa, bool hasExponent, DecimalMark known, out int decimalAt, out bool isAmbiguous, out DecimalMark shown)
    {
        decimalAt = -1;
        isAmbiguous = false;
        shown = DecimalMark.Unknown;

        int points = 0, commas = 0, others = 0, digits = 0, lastPoint = -1, lastComma = -1;
        for (var i = 0; i < mantissa.Length; i++)
        {
            var symbol = mantissa[i];
            if (char.IsDigit(symbol))
                digits++;
            else if (symbol == '.')
                (points, lastPoint) = (points + 1, i);
            else if (symbol == ',')
                (commas, lastComma) = (commas + 1, i);
            else if (IsThousandsMark(symbol))
                others++;
            else
                return false;
        }

        if (digits == 0)
            return false;

        if (points > 0 && commas > 0)
        {
            decimalAt = Math.Max(lastPoint, lastComma);
            if ((lastPoint > lastComma ? points : commas) > 1)
                return false;
        }
        else if (points + commas > 1)
        {
            shown = points > 0 ? DecimalMark.Comma : DecimalMark.Point;
        }
        else if (points + commas == 1)
        {
            var at = Math.Max(lastPoint, lastComma);
            var mark = points > 0 ? DecimalMark.Point : DecimalMark.Comma;
            isAmbiguous = !hasExponent && others == 0 && at is >= 1 and <= 3 && mantissa.Length - at == 4 && mantissa[0] != '0';
            if (!isAmbiguous || known == mark || (known == DecimalMark.Unknown && mark == DecimalMark.Point))
                decimalAt = at;
        }

        if (decimalAt == mantissa.Length - 1 && mantissa[decimalAt] == ',')
            return false;
        if (decimalAt >= 0 && !isAmbiguous)
            shown = mantissa[decimalAt] == '.' ? DecimalMark.Point : DecimalMark.Comma;
        return ThousandsPartEvenly(decimalAt >= 0 ? mantissa[..decimalAt] : mantissa)
            && (decimalAt < 0 || HoldsDigitsOnly(mantissa[(decimalAt + 1)..]));
    }

    private static bool HoldsDigitsOnly(ReadOnlySpan<char> decimals)
    {
        foreach (var symbol in decimals)
        {
            if (!char.IsDigit(symbol))
                return false;
        }

        return true;
    }

    private static bool ThousandsPartEvenly(ReadOnlySpan<char> whole)
    {
        var run = 0;
        var mark = '\0';
        foreach (var symbol in whole)
        {
            if (char.IsDigit(symbol))
            {
                run++;
                continue;
            }

            // One kind of mark only, with one to three digits before the first and exactly three between.
            if (mark == '\0' ? run is 0 or > 3 : run != 3 || symbol != mark)
                return false;
            mark = symbol;
            run = 0;
        }

        return mark == '\0' || run == 3;
    }
}
