namespace Capacityplan.Core.Reading;

/// <summary>
/// Reads running text: lines such as "8 cores: 12.4s" or "ran on 16 workers in 1m2s", and wall times that follow a line
/// naming the cores, as the output of a timed command does.
/// </summary>
internal static class FreeTextReader
{
    /// <param name="lines">The lines, in the order of the text.</param>
    /// <param name="onlySure">True to take only lines whose words say both what the cores and what the time are.</param>
    public static Interpretation Read(IReadOnlyList<PastedLine> lines, bool onlySure)
    {
        var result = new Interpretation();
        var group = result.NextGroup();
        var said = 0;
        (PastedLine Line, CoresMention Mention, FreeLine? Lacking)? pending = null;
        var pendingUsed = false;
        foreach (var line in lines)
        {
            if (line.IsRule || (!line.HasDigit && !line.Text.Contains("core", StringComparison.OrdinalIgnoreCase) && !line.Text.Contains("thread", StringComparison.OrdinalIgnoreCase)))
                continue;
            var free = new FreeLine(line);
            if (free.Mentions.Count > 0 && free.Figures.Count > 0 && line.CommentMark == 0)
            {
                if (onlySure && !(free.Mentions.Count == 1 && free.Mentions[0].IsSaid && free.Token(free.Figures[0]).Kind == TokenKind.Duration))
                    continue;
                DropPending();
                Pair(result, group, line, free);
                said += free.Mentions.Count(mention => mention.IsSaid);
                pending = (line, free.Mentions[^1], null);
                pendingUsed = true;
            }
            else if (pending is { Mention.IsSaid: true } open && !pendingUsed && free.SoleNumber is { } number)
            {
                Add(result, group, open.Line, open.Mention, line, free.Token(number));
                result.Use(open.Line, open.Line);
                said++;
                pendingUsed = true;
            }
            else if (free.Mentions.Count == 1 && free.Figures.Count == 0 && (free.Mentions[0].IsSaid || free.IsOnlyCores))
            {
                DropPending();
                pending = (line, free.Mentions[0], free.LacksItsTime ? free : null);
                pendingUsed = false;
            }
            else if (free.Mentions.Count == 0 && free.Figures.Count > 0 && line.CommentMark == 0 && (free.IsTimeSaid || free.IsOnlyFigure))
            {
                if (pending is not { } cores)
                {
                    if (free.IsTimeSaid && !onlySure && free.Token(free.Figures[0]).Kind == TokenKind.Duration)
                        Doubt(result, line, new Finding(FindingKind.NoCores, Span(line, free.Token(free.Figures[0])), free.Token(free.Figures[0]).In(line.Text).ToString()));
                    continue;
                }

                if (onlySure && !free.IsTimeSaid)
                    continue;
                foreach (var figure in free.Figures)
                    Add(result, group, cores.Line, cores.Mention, line, free.Token(figure));
                NoteUnused(result, line, free);
                LookForFailures(result, line, cores.Mention.Cores);
                result.Use(cores.Line, cores.Line);
                said += cores.Mention.IsSaid ? 1 : 0;
                pendingUsed = true;
            }
            else if (free.IsProcessorTime && pending is not null)
            {
                result.Use(line, line);
            }
        }

        DropPending();
        result.IsSure = said > 0 && 2 * said >= result.Explained;
        result.Plausibility = result.IsSure ? 8 : 4;
        return result;

        // A core count alone on its line was meant for a time; one inside a sentence may be prose.
        void DropPending()
        {
            if (pending is { Lacking: { } lacking } cores && !pendingUsed && !onlySure && cores.Line.CommentMark == 0)
            {
                var rest = cores.Line.Text[lacking.RestStart..].TrimEnd();
                Doubt(result, cores.Line, new Finding(FindingKind.NoTime, cores.Line.Span(lacking.RestStart, rest.Length), rest, cores.Mention.Cores));
            }
        }
    }

    private static void LookForFailures(Interpretation result, PastedLine line, double cores)
    {
        if (FailureWords.In(line.Text) is { } failure)
            result.Findings.Add(new Finding(FindingKind.Unfinished, line.Span(line.Text.IndexOf(failure, StringComparison.Ordinal), failure.Length), failure, cores));
    }

    /// <summary>Pairs the core counts of a line with its figures: each with those up to the next count, or from the one before.</summary>
    private static void Pair(Interpretation result, int group, PastedLine line, FreeLine free)
    {
        var countsFirst = free.Mentions[0].Token < free.Figures[0];
        var figure = 0;
        for (var i = 0; i < free.Mentions.Count; i++)
        {
            var mention = free.Mentions[i];
            var isLast = i == free.Mentions.Count - 1;
            var end = free.Mentions.Count == 1 || (isLast && countsFirst) ? int.MaxValue : countsFirst ? free.Mentions[i + 1].Token : mention.Token;
            var before = figure;
            for (; figure < free.Figures.Count && free.Figures[figure] < end; figure++)
                Add(result, group, line, mention, line, free.Token(free.Figures[figure]));
            if (figure == before)
                Doubt(result, line, new Finding(FindingKind.NoTime, line.Span(mention.Start + mention.Length, 0), "", mention.Cores));
        }

        for (; figure < free.Figures.Count; figure++)
            result.Findings.Add(new Finding(FindingKind.UnusedFigures, Span(line, free.Token(free.Figures[figure])), free.Token(free.Figures[figure]).In(line.Text).ToString()));
        NoteUnused(result, line, free);
        LookForFailures(result, line, free.Mentions[0].Cores);
        result.Use(line, line);
    }

    private static void NoteUnused(Interpretation result, PastedLine line, FreeLine free)
    {
        foreach (var unused in free.UnusedFigures)
            result.Findings.Add(new Finding(FindingKind.UnusedFigures, Span(line, free.Token(unused)), free.Token(unused).In(line.Text).ToString()));
    }

    private static void Add(Interpretation result, int group, PastedLine coresLine, CoresMention mention, PastedLine line, LineToken token)
    {
        var text = token.In(line.Text).ToString();
        result.Add(new FoundRun
        {
            Cores = mention.Cores,
            CoresAt = coresLine.Span(mention.Start, mention.Length),
            Text = text,
            Value = ValueText.Read(text, null, DecimalMark.Unknown),
            ValueAt = Span(line, token),
            Group = group,
        });
        result.Use(line, line);
    }

    private static void Doubt(Interpretation result, PastedLine line, Finding finding)
    {
        result.Findings.Add(finding);
        result.Use(line, line);
    }

    private static TextSpan Span(PastedLine line, LineToken token) => line.Span(token.Start, token.Length);
}
