namespace Capacityplan.Core.Reading;

/// <summary>The cells of a row of task data.</summary>
internal static class SampleCells
{
    /// <summary>
    /// The cell of a column in a row without quotes, where one mark parts the cells; false where the row needs the full split.
    /// </summary>
    public static bool TryQuick(ReadOnlySpan<char> row, CellRule rule, int column, out int start, out int length)
    {
        (start, length) = (0, 0);
        char mark = rule switch { CellRule.Tab => '\t', CellRule.Semicolon => ';', CellRule.Comma => ',', _ => '\0' };
        if (mark == '\0' || row.Contains('"'))
            return false;
        for (; column > 0; column--)
        {
            int at = row[start..].IndexOf(mark);
            if (at < 0)
                return false;
            start += at + 1;
        }

        int end = row[start..].IndexOf(mark);
        length = end < 0 ? row.Length - start : end;
        return true;
    }
}
