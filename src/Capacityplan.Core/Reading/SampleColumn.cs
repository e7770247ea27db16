namespace Capacityplan.Core.Reading;

/// <summary>A column that may hold the durations.</summary>
/// <param name="Heading">Its heading; null where there is none.</param>
/// <param name="UnitSeconds">The unit its heading gives, seconds; null where it gives none.</param>
/// <param name="Readable">Share of its cells that are durations or numbers.</param>
/// <param name="HasUnits">True where most of its cells say their unit.</param>
/// <param name="IsIndex">True where it counts up by one.</param>
internal sealed record SampleColumn(string? Heading, double? UnitSeconds, double Readable, bool HasUnits, bool IsIndex)
{
    private const int LeastIndexRows = 3;

    public static SampleColumn Of(string? heading, string[] cells, CommaRole comma)
    {
        DecimalMark mark = comma == CommaRole.Decimal ? DecimalMark.Comma : DecimalMark.Point;
        int readable = 0, units = 0, steps = 0;
        double before = double.NaN;
        foreach (string cell in cells)
        {
            if (!DurationText.TryRead(cell, 1, mark, out DurationReading reading))
                continue;
            readable++;
            units += reading.HasUnit ? 1 : 0;
            steps += !reading.HasUnit && reading.Seconds == before + 1 ? 1 : 0;
            before = reading.Seconds;
        }

        return new SampleColumn(
            heading?.Trim(), heading is null ? null : SampleHeading.Unit(heading), readable / (double)cells.Length,
            units > cells.Length / 2, cells.Length >= LeastIndexRows && steps == cells.Length - 1);
    }

    /// <summary>The column most likely to hold the durations, and whether another is as likely; null where none can be.</summary>
    public static (int At, bool IsGuessed)? Choose(IReadOnlyList<SampleColumn> columns)
    {
        int[] likely = [.. Enumerable.Range(0, columns.Count).Where(at => columns[at].Readable >= 0.5).OrderByDescending(at => columns[at].Score)];
        if (likely.Length == 0)
            return null;
        return (likely[0], likely.Length > 1 && columns[likely[1]].Score == columns[likely[0]].Score);
    }

    private int Score =>
        (Heading is null ? 0 : SampleHeading.Score(Heading)) + (UnitSeconds is not null ? 3 : 0) + (HasUnits ? 4 : 0) - (IsIndex ? 6 : 0) + (Readable > 0.9 ? 1 : 0);
}
