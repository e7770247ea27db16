using System.Collections.Immutable;

namespace Capacityplan.Core.Reading;

/// <summary>What a table of months and inputs was understood as.</summary>
/// <param name="Points">Months from now, ascending, and the input in each, times today's.</param>
/// <param name="Problems">What was left out or doubted, by line and column.</param>
public sealed record GrowthTableReading(ImmutableArray<(int Month, double Factor)> Points, ImmutableArray<Problem> Problems);

/// <summary>
/// Reads a table of months from now and inputs: a line each, the month first, then the input as a factor of today's (1.15,
/// ×1.15) or as what it is more (+15 %); parted by a tab, a semicolon, a comma, a colon, a bar or spaces.
/// </summary>
public static class GrowthTableReader
{
    private const int FarthestMonth = 600;

    private const double LeastFactor = 0.001, MostFactor = 1_000;

    /// <summary>Reads a table; never throws on content.</summary>
    public static GrowthTableReading Read(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        var points = ImmutableArray.CreateBuilder<(int, double)>();
        var problems = ImmutableArray.CreateBuilder<Problem>();
        int number = 0, last = 0;
        foreach ((int start, int length) in TextLines.Of(text))
        {
            number++;
            string line = text.Substring(start, length);
            int at = line.Length - line.TrimStart(' ', '\t', '|').Length;
            string rest = line[at..].TrimEnd(' ', '\t', '|');
            if (rest.Length == 0 || rest[0] == '#' || rest.All(symbol => symbol is '-' or '|' or ':' or ' '))
                continue;
            if (rest.StartsWith("month ", StringComparison.OrdinalIgnoreCase) && rest.Length > 6 && char.IsDigit(rest[6]))
                (at, rest) = (at + 6, rest[6..]);
            int digits = rest.TakeWhile(char.IsAsciiDigit).Count();
            int gap = rest.Skip(digits).TakeWhile(symbol => symbol is ' ' or '\t' or ',' or ';' or ':' or '|').Count();
            // A heading: words and no figure at all.
            if (points.Count == 0 && problems.Count == 0 && !rest.Any(char.IsDigit))
                continue;
            void Leave(string why, int column, int size) =>
                problems.Add(new Problem(ProblemSeverity.Warning, $"{why} The line is left out.", number, column + 1, size));
            if (digits == 0 || gap == 0 || !int.TryParse(rest[..digits], out int month))
                Leave($"“{Short(rest)}” is not a month from now and an input, such as 6 1.15.", at, rest.Length);
            else if (month is < 1 or > FarthestMonth)
                Leave($"Month {rest[..digits]} is out of range: months count from now, from 1 to {FarthestMonth}.", at, digits);
            else if (month <= last)
                Leave($"Month {month} does not come after month {last}.", at, digits);
            else if (!TryFactor(rest[(digits + gap)..], out double factor))
                Leave($"“{Short(rest[(digits + gap)..])}” is not an input times today’s, such as 1.15 or +15 %.", at + digits + gap, rest.Length - digits - gap);
            else
            {
                points.Add((month, factor));
                last = month;
            }
        }

        return new GrowthTableReading(points.ToImmutable(), problems.ToImmutable());
    }

    private static bool TryFactor(string text, out double factor)
    {
        text = text.Trim().TrimStart('×', 'x').Trim();
        if (text.EndsWith('%'))
        {
            // 115 % is the whole, +15 % what comes on top.
            if (!NumberText.TryRead(text[..^1].Trim().TrimStart('+'), out double percent))
                factor = 0;
            else
                factor = text[0] is '+' || NumberText.IsMinus(text[0]) ? 1 + percent / 100 : percent / 100;
        }
        else if (!NumberText.TryRead(text, out factor))
        {
            factor = 0;
        }

        return factor is >= LeastFactor and <= MostFactor;
    }

    private static string Short(string text) => text.Length > 24 ? text[..24] + "…" : text;
}
