namespace Capacityplan.Core.Reading;

/// <summary>
/// Settles what single figures leave open by what stands around them: whether "1,234" has thousands or decimals, and what
/// unit a bare number counts.
/// </summary>
internal static class FigureSettlement
{
    /// <summary>Settles the runs of an interpretation, a group at a time.</summary>
    public static void Settle(Interpretation interpretation)
    {
        foreach (var runs in interpretation.Runs.GroupBy(run => run.Group).Select(group => group.ToList()).ToList())
        {
            SettleMarks(runs, interpretation);
            SettleUnits(runs, interpretation);
        }
    }

    /// <summary>
    /// A decimal mark that one kind of figure proves holds for the group. Where the group proves none or both, a comma is read
    /// the way that brings the figure nearer to the others; where there are no others, semicolons between the columns speak for
    /// decimals, else thousands are taken and it is said. A point stays a decimal mark, as in a program's output.
    /// </summary>
    private static void SettleMarks(List<FoundRun> runs, Interpretation interpretation)
    {
        var open = runs.FindAll(run => run.Value.IsAmbiguous);
        if (open.Count == 0 && !runs.Exists(run => run.MayBeThousandsOfCores))
            return;

        var points = runs.Exists(run => run.Value.Mark == DecimalMark.Point);
        var commas = runs.Exists(run => run.Value.Mark == DecimalMark.Comma);
        var known = points == commas ? DecimalMark.Unknown : points ? DecimalMark.Point : DecimalMark.Comma;
        if (known == DecimalMark.Comma)
            runs.FindAll(run => run.MayBeThousandsOfCores).ForEach(run => run.Cores *= 1000);
        if (known != DecimalMark.Unknown)
        {
            open.ForEach(run => ReadAgain(run, known));
            return;
        }

        open.RemoveAll(run => !run.Text.Contains(',', StringComparison.Ordinal));
        if (open.Count == 0)
            return;
        var clear = runs.Where(run => !run.Value.IsAmbiguous && run.Value.Amount > 0 && run.Cores > 0)
            .GroupBy(run => run.Value.Kind).ToDictionary(group => group.Key, group => Median(group.Select(Level)));
        foreach (var run in open.Where(run => clear.ContainsKey(run.Value.Kind) && run.Cores > 0))
        {
            var distance = double.PositiveInfinity;
            var best = DecimalMark.Point;
            foreach (var mark in (ReadOnlySpan<DecimalMark>)[DecimalMark.Point, DecimalMark.Comma])
            {
                ReadAgain(run, mark);
                var off = Math.Abs(Level(run) - clear[run.Value.Kind]);
                if (off < distance)
                    (distance, best) = (off, mark);
            }

            ReadAgain(run, best);
        }

        open.RemoveAll(run => clear.ContainsKey(run.Value.Kind) && run.Cores > 0);
        if (open.Count == 0)
            return;
        if (interpretation.HintsAtDecimalComma)
            open.ForEach(run => ReadAgain(run, DecimalMark.Comma));
        interpretation.Findings.Add(new Finding(
            interpretation.HintsAtDecimalComma ? FindingKind.DecimalCommaBySemicolons : FindingKind.OpenMark, open[0].ValueAt, open[0].Text));
    }

    /// <summary>Logarithm of a figure, evened out over core counts as if each doubling of them brought a factor of the square root of 2.</summary>
    private static double Level(FoundRun run) =>
        Math.Log(run.Value.Amount) + (run.Value.Kind == ValueKind.Time ? 0.5 : -0.5) * Math.Log(run.Cores);

    private static double Median(IEnumerable<double> values)
    {
        var sorted = values.Order().ToList();
        return sorted[sorted.Count / 2];
    }

    private static void ReadAgain(FoundRun run, DecimalMark mark)
    {
        var again = ValueText.Read(run.Text, run.UnitSeconds, mark);
        if (again.IsFigure)
            run.Value = again with { Kind = run.Value.Kind };
    }

    /// <summary>Gives bare times the unit of the heading, else the one unit the times around them have, else seconds.</summary>
    private static void SettleUnits(List<FoundRun> runs, Interpretation interpretation)
    {
        var times = runs.FindAll(run => run.Value.Kind == ValueKind.Time);
        var bare = times.FindAll(run => !run.Value.HasUnit);
        if (bare.Count == 0)
            return;

        var units = times.Where(run => run.Value.HasUnit).Select(run => run.Value.UnitSeconds).Distinct().ToList();
        var around = units is [{ } only] ? only : (double?)null;
        foreach (var run in bare)
        {
            var unit = run.UnitSeconds ?? around ?? 1;
            run.Value = run.Value with { Amount = run.Value.Amount * unit };
        }

        var open = bare.FindAll(run => run.UnitSeconds is null);
        if (open.Count == 0 || around == 1)
            return;
        var first = open.Find(run => run.Value.Amount > 0 && run.Cores >= 1 && run.Cores == Math.Floor(run.Cores)) ?? open[0];
        interpretation.Findings.Add(around is { } seconds
            ? new Finding(FindingKind.ReadAsUnit, first.ValueAt, UnitName(seconds))
            : new Finding(FindingKind.ReadAsSeconds, first.ValueAt));
    }

    private static string UnitName(double seconds) => seconds switch
    {
        1e-9 => "nanoseconds",
        1e-6 => "microseconds",
        1e-3 => "milliseconds",
        TimeUnits.Minute => "minutes",
        TimeUnits.Hour => "hours",
        TimeUnits.Day => "days",
        7 * TimeUnits.Day => "weeks",
        _ => "years",
    };
}
