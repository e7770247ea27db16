using System.Collections.Immutable;
using System.Text.RegularExpressions;

namespace Capacityplan.Core.Reading;

/// <summary>What a text of past nights was understood as.</summary>
/// <param name="Values">Input size or run time of each night, in one unit, in the order of the text.</param>
/// <param name="AreRunTimes">True where they carry a unit of time.</param>
/// <param name="Problems">What was left out or doubted, by line and column.</param>
public sealed record PastNightsReading(ImmutableArray<double> Values, bool AreRunTimes, ImmutableArray<Problem> Problems);

/// <summary>
/// Reads what past nights had to do: their run times, in any shape <see cref="SampleReader"/> reads, or their input sizes as
/// amounts of memory (5.2 GB) or bare numbers, the date of the night beside them or not. Only how nights differ counts, so
/// bare numbers may be in any unit.
/// </summary>
public static partial class PastNightsReader
{
    /// <summary>The most nights a text may have: more than a quarter of a century.</summary>
    public const int MostNights = 10_000;

    /// <summary>A bare number counts nothing in particular: read as so many seconds, counts of rows stay below the longest time.</summary>
    private const double BareUnit = 1.25e-6;

    /// <summary>Reads past nights; never throws on content.</summary>
    public static PastNightsReading Read(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (string.IsNullOrWhiteSpace(text))
            return new PastNightsReading([], false, []);
        PastNightsReading read = MemoryAmount().IsMatch(text) ? Sizes(text) : Durations(text);
        if (read.Values.Length <= MostNights)
            return read;
        return read with
        {
            Values = read.Values[..MostNights],
            Problems = read.Problems.Add(new Problem(ProblemSeverity.Warning, $"Only the first {MostNights:#,0} nights are taken.")),
        };
    }

    private static PastNightsReading Durations(string text)
    {
        SampleReading sample = SampleReader.Read(text, BareUnit);
        var values = ImmutableArray.CreateBuilder<double>();
        for (int index = 0; index < sample.Seconds.Length; index++)
        {
            int count = sample.Counts.IsEmpty ? 1 : Math.Min(sample.Counts[index], MostNights + 1);
            values.AddRange(Enumerable.Repeat(sample.Seconds[index], sample.Seconds[index] > 0 ? count : 0));
        }

        return new PastNightsReading(
            values.ToImmutable(), sample.UnitSeconds != BareUnit && values.Count > 0,
            [.. sample.Problems.Where(problem => problem.Severity != ProblemSeverity.Note)]);
    }

    private static PastNightsReading Sizes(string text)
    {
        var values = ImmutableArray.CreateBuilder<double>();
        var problems = ImmutableArray.CreateBuilder<Problem>();
        int number = 0;
        foreach ((int start, int length) in TextLines.Of(text))
        {
            number++;
            string line = text.Substring(start, length);
            if (string.IsNullOrWhiteSpace(line) || line.TrimStart().StartsWith('#'))
                continue;
            Match match = MemoryAmount().Matches(line) is { Count: > 0 } matches ? matches[^1] : Match.Empty;
            if (match.Success && MemoryText.TryRead(match.Value, out double gibibytes) && gibibytes > 0)
                values.Add(gibibytes);
            else if (values.Count > 0 || line.Any(char.IsDigit))
                problems.Add(new Problem(ProblemSeverity.Warning, "No size with a unit here, such as 5.2 GB, so the line is left out.", number, 1, line.Length));
        }

        return new PastNightsReading(values.ToImmutable(), false, problems.ToImmutable());
    }

    [GeneratedRegex(@"\d[\d.,'\u00A0]*[ \u00A0]?[kKMGT]i?B\b")]
    private static partial Regex MemoryAmount();
}
