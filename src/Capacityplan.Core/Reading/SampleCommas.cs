namespace Capacityplan.Core.Reading;

/// <summary>What commas and spaces between digits do, from the lines of a text.</summary>
internal static class SampleCommas
{
    /// <summary>What a comma between digits does in lists.</summary>
    public static CommaRole Role(PastedLine[] rows) => Role(rows.SelectMany(row => row.Text.Split([' ', '\t', ';', '|'], StringSplitOptions.RemoveEmptyEntries)));

    /// <summary>What a comma between digits does in pieces of text that nothing else parts.</summary>
    public static CommaRole Role(IEnumerable<string> pieces)
    {
        bool isDecimal = false, isThousands = false, isOpen = false;
        foreach (string piece in pieces)
        {
            ReadOnlySpan<char> text = piece.AsSpan().Trim("[](){}\"',");
            int commas = CommasBetweenDigits(text);
            if (commas == 0)
                continue;
            int length = DurationText.NumberLength(text, isWhole: false);
            bool isNumber = NumberText.TryRead(text[..Math.Min(length, text.Length)], DecimalMark.Unknown, out NumberReading reading);
            if (!isNumber || commas > 1 && !text.Contains('.'))
                return CommaRole.Parts;
            if (reading.IsAmbiguous)
                isOpen = true;
            else if (reading.Mark == DecimalMark.Comma)
                isDecimal = true;
            else
                isThousands = true;
        }

        return isDecimal ? CommaRole.Decimal : isThousands || isOpen ? CommaRole.Thousands : CommaRole.Parts;
    }

    /// <summary>True where the spaces of every line part thousands: "12 345,6" and no line that could be two numbers.</summary>
    public static bool SpacesPartThousands(PastedLine[] rows)
    {
        bool isSeen = false;
        foreach (PastedLine row in rows)
        {
            string text = row.Text.Trim();
            if (!row.HasDigit || !text.Contains(' ', StringComparison.Ordinal))
                continue;
            if (!NumberText.TryRead(text, DecimalMark.Comma, out NumberReading reading) || reading.Mark != DecimalMark.Comma)
                return false;
            isSeen = true;
        }

        return isSeen;
    }

    private static int CommasBetweenDigits(ReadOnlySpan<char> text)
    {
        int commas = 0;
        for (int i = 1; i + 1 < text.Length; i++)
            commas += text[i] == ',' && char.IsDigit(text[i - 1]) && (char.IsDigit(text[i + 1]) || text[i + 1] == '.') ? 1 : 0;
        return commas;
    }
}
