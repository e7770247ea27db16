namespace Capacityplan.Core.Reading;

/// <summary>
/// Reads pasted timings in whatever shape people have them: tables parted by tabs, semicolons, commas, bars or spaces, upright
/// or on their side, with headings in any order and many languages or none; the output of timed commands; lines of running
/// text; JSON.
/// </summary>
/// <remarks>
/// The text is read in several ways, and the way that explains most lines with the least doubt is taken. What it leaves is
/// read again, now only where words say what the figures are. Every line with figures that is neither heading nor used has
/// a problem that names it.
/// </remarks>
public static class TimingsReader
{
    // What is left after the best reading is read again so often at most; pastes of more than a few shapes are rare.
    private const int MostRounds = 3;

    /// <summary>The most timings taken from one text; what is beyond is left out with a problem that says so.</summary>
    public const int MostTimings = TimingsAssembly.MostTimings;

    /// <summary>Reads timings out of a text; never throws on content.</summary>
    /// <param name="text">The text, in any shape.</param>
    /// <returns>
    /// The timings, in the order of the text, and what was not understood, doubted or left out. A blank text has neither. A
    /// text without any timing has an error, and the warnings that say what its lines lack, or else the place of the line meant.
    /// </returns>
    public static TimingsReading Read(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        var lines = PastedLine.Split(text);
        if (Array.TrueForAll(lines, line => line.Text.AsSpan().IsWhiteSpace()))
            return new TimingsReading { Timings = [], Problems = [] };

        var runs = new List<FoundRun>();
        var findings = new List<Finding>();
        var left = lines.ToList();
        for (var round = 0; round < MostRounds && left.Exists(line => line.HasDigit); round++)
        {
            var best = Interpretations.Best(left, onlySure: round > 0);
            if (best is null || (round > 0 && best.Runs.Count == 0))
                break;
            FigureSettlement.Settle(best);
            runs.AddRange(best.Runs);
            findings.AddRange(best.Findings);
            left.RemoveAll(line => best.Lines.Contains(line.Number));
            if (best.Runs.Count == 0)
                break;
        }

        var assembly = new TimingsAssembly(runs, findings, lines);
        var timings = assembly.Timings();
        FindingList.AddSameLines(findings, lines, timings);
        FindingList.AddIgnoredLines(findings, lines, left);
        return new TimingsReading
        {
            Timings = timings,
            Problems = FindingList.Problems(findings, timings, lines),
            Values = assembly.Values,
            IsRelative = assembly.IsRelative,
        };
    }
}
