namespace Capacityplan.Core.Reading;

/// <summary>The ways to read a text, and the choice among them.</summary>
internal static class Interpretations
{
    // A long text that one way explains without doubt is not read in further ways.
    private const int LongText = 500;

    /// <summary>The interpretation that explains most with the least doubt; of equals the first. Null where none finds anything.</summary>
    /// <param name="lines">The lines to read, in the order of the text.</param>
    /// <param name="onlySure">True to take only what words make plain, as for lines between tables.</param>
    public static Interpretation? Best(IReadOnlyList<PastedLine> lines, bool onlySure)
    {
        Interpretation? best = null;
        var bestScore = double.NegativeInfinity;
        foreach (var candidate in Of(lines, onlySure))
        {
            if ((candidate.Runs.Count == 0 && candidate.Findings.Count == 0) || (onlySure && !candidate.IsSure))
                continue;
            var score = candidate.Score(lines);
            if (candidate.Runs.Count == 0)
                score -= 1e6;
            if (score > bestScore)
                (best, bestScore) = (candidate, score);
            if (lines.Count > LongText && candidate.Findings.Count == 0 && candidate.Lines.Count >= lines.Count(line => line.HasDigit))
                break;
        }

        return best;
    }

    private static IEnumerable<Interpretation> Of(IReadOnlyList<PastedLine> lines, bool onlySure)
    {
        yield return JsonReader.Read(lines);
        foreach (var rule in Enum.GetValues<CellRule>())
        {
            // Words of running text explain themselves better than columns that happen to line up.
            if (rule == CellRule.Gap)
                yield return FreeTextReader.Read(lines, onlySure);

            var rows = Rows(lines, rule);
            if (rows.Count == 0)
                continue;
            var isLoose = rule is CellRule.WideGap or CellRule.Gap;
            yield return TableReader.Read(rows, new TableLayout(IsTransposed: false, isLoose), rule);
            yield return Transposition.Read(rows, new TableLayout(IsTransposed: true, isLoose), rule);
        }
    }

    /// <summary>The lines as rows of cells; none where the rule parts no line.</summary>
    private static List<TableRow> Rows(IReadOnlyList<PastedLine> lines, CellRule rule)
    {
        if (!lines.Any(line => line.HasDigit && CellSplitter.MayPart(line.Text, rule)))
            return [];
        var rows = new List<TableRow>(lines.Count);
        foreach (var line in lines.Where(line => !line.IsRule))
            rows.Add(new TableRow(CellSplitter.Split(line, rule), line, line));
        return rows;
    }
}
