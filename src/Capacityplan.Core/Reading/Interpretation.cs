namespace Capacityplan.Core.Reading;

/// <summary>A run an interpretation found: a core count and the figure beside it, neither judged yet.</summary>
internal sealed record FoundRun
{
    /// <summary>The number of cores as it stands there; it may be none a machine can have.</summary>
    public required double Cores { get; set; }

    /// <summary>True for "1.000", one core or a thousand, as the decimal mark of the others has it.</summary>
    public bool MayBeThousandsOfCores { get; init; }

    public required TextSpan CoresAt { get; init; }

    /// <summary>The text the figure was read from, so that it can be read again once the column's decimal mark is known.</summary>
    public required string Text { get; init; }

    public required ValueReading Value { get; set; }

    public required TextSpan ValueAt { get; init; }

    /// <summary>Runs of one group stand in one table, or were written in one hand: they share a decimal mark and a unit.</summary>
    public int Group { get; init; }

    /// <summary>What a bare number in the column counts by its heading, seconds; null where the heading does not say.</summary>
    public double? UnitSeconds { get; init; }

    /// <summary>The speedup or rate beside a time, which ties such figures elsewhere to it; null where there is none.</summary>
    public ValueReading? Beside { get; init; }

    public string? Sitting { get; init; }

    /// <summary>Input size as it stands there; null where none does.</summary>
    public double? Size { get; init; }

    /// <summary>Where the input size stands.</summary>
    public Cell? SizeCell { get; init; }
}

/// <summary>One way to understand a text, or the part of it that was not understood yet.</summary>
internal sealed class Interpretation
{
    private readonly HashSet<TextSpan> _explained = [];
    private int _groups;

    public List<FoundRun> Runs { get; } = [];

    public List<Finding> Findings { get; } = [];

    /// <summary>Numbers of the lines it used, or put a finding on.</summary>
    public HashSet<int> Lines { get; } = [];

    /// <summary>True where words say what the figures are, so that it can be trusted with a few lines out of many.</summary>
    public bool IsSure { get; set; }

    /// <summary>How much the core counts look like core counts; from 0 to about 12.</summary>
    public double Plausibility { get; set; }

    /// <summary>True where the figures are parted by semicolons, which hints at decimal commas.</summary>
    public bool HintsAtDecimalComma { get; init; }

    /// <summary>Number of core counts, places in the text, that a figure was found for.</summary>
    public int Explained => _explained.Count;

    public void Add(FoundRun run)
    {
        Runs.Add(run);
        _explained.Add(run.CoresAt);
    }

    /// <summary>A number for a further group of runs.</summary>
    public int NextGroup() => _groups++;

    public void Use(PastedLine first, PastedLine last)
    {
        for (var line = first.Number; line <= last.Number; line++)
            Lines.Add(line);
    }

    /// <summary>Ranks interpretations of the same lines: what they explain, less what they leave in doubt.</summary>
    /// <param name="lines">The lines offered.</param>
    public double Score(IEnumerable<PastedLine> lines)
    {
        var ignored = lines.Count(line => line.HasDigit && line.CommentMark == 0 && !Lines.Contains(line.Number));
        var doubted = Findings.Count(finding => finding.Kind.LeavesOut());
        var absurd = Runs.Count(run => !(run.Cores >= 1 && run.Cores == Math.Floor(run.Cores) && run.Value.Amount > 0));
        return 10.0 * Explained - 4 * absurd - 4 * doubted - (Findings.Count - doubted) - 3 * ignored + (IsSure ? 5 : 0) + Plausibility / 2;
    }
}
