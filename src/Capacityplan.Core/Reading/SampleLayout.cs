namespace Capacityplan.Core.Reading;

/// <summary>How the durations of a text are laid out.</summary>
internal enum SampleShape
{
    /// <summary>Every figure is a duration.</summary>
    List,

    /// <summary>One column of a table holds the durations.</summary>
    Table,

    /// <summary>Named values in JSON; one name holds the durations.</summary>
    NamedValues,
}

/// <summary>What a comma between digits does.</summary>
internal enum CommaRole
{
    Parts,
    Decimal,
    Thousands,
}

/// <summary>How a text of task durations is to be read, as its beginning shows it.</summary>
internal sealed class SampleLayout
{
    // Enough to see past a preamble and an index column, yet read in no time.
    private const int MostLines = 200;
    private const double LeastReadable = 0.8;

    private static readonly CellRule[] s_rules = [CellRule.Tab, CellRule.Semicolon, CellRule.Bar, CellRule.Comma, CellRule.WideGap, CellRule.Gap];

    private SampleLayout(SampleShape shape, CommaRole comma)
    {
        Shape = shape;
        Comma = comma;
    }

    public SampleShape Shape { get; private init; }

    public CommaRole Comma { get; }

    /// <summary>What parts the columns of a table.</summary>
    public CellRule Rule { get; private init; }

    /// <summary>The column of a table with the durations, from 0.</summary>
    public int Column { get; private init; }

    /// <summary>The name of the durations in JSON.</summary>
    public string Name { get; private init; } = "";

    /// <summary>True where spaces part thousands, as in "12 345,6".</summary>
    public bool SpaceParts { get; private init; }

    /// <summary>The line with the heading, from 1; 0 where there is none.</summary>
    public int HeadingLine { get; private init; }

    /// <summary>The heading over the durations; null where there is none.</summary>
    public string? Heading { get; private init; }

    /// <summary>The unit the heading gives, seconds; null where it gives none.</summary>
    public double? UnitSeconds { get; private init; }

    /// <summary>Where one of several columns is read: its name, ready to show.</summary>
    public string? Chosen { get; private init; }

    /// <summary>True where others might as well hold the durations.</summary>
    public bool IsGuessed { get; private init; }

    public DecimalMark Mark => Comma == CommaRole.Decimal ? DecimalMark.Comma : DecimalMark.Point;

    /// <summary>Finds the layout from the beginning of a text.</summary>
    public static SampleLayout Of(string head)
    {
        PastedLine[] all = PastedLine.Split(head);
        PastedLine[] lines = [.. all.Where(line => !string.IsNullOrWhiteSpace(line.Text)).Take(MostLines)];
        if (lines.Length == 0)
            return new SampleLayout(SampleShape.List, CommaRole.Parts);
        if (lines[0].Text.TrimStart() is ['{' or '[', ..] && JsonNames.Choose(head) is { } chosen)
        {
            return new SampleLayout(SampleShape.NamedValues, CommaRole.Parts)
            {
                Name = chosen.Heading,
                Heading = chosen.Heading,
                UnitSeconds = SampleHeading.Unit(chosen.Heading),
                Chosen = chosen.OfSeveral ? $"“{chosen.Heading}”" : null,
                IsGuessed = chosen.IsGuessed,
            };
        }

        PastedLine[] rows = [.. lines.Where(line => !line.IsRule && line.CommentMark == 0)];
        // "133 x 12.3 ms" on every line is a list, though blanks part it evenly.
        PastedLine[] figures = [.. rows.Where(row => row.HasDigit)];
        if (figures.Length > 0 && figures.Count(row => SampleLine.CountLength(row.Text.AsSpan().Trim()) > 0) >= LeastReadable * figures.Length)
            return List(lines, rows);
        foreach (CellRule rule in s_rules)
        {
            if (Table(rows, rule) is { } table)
                return table;
        }

        return List(lines, rows);
    }

    private static SampleLayout List(PastedLine[] lines, PastedLine[] rows)
    {
        CommaRole comma = SampleCommas.Role(rows);
        PastedLine? heading = lines[0].CommentMark > 0 && !lines[0].HasDigit ? lines[0]
            : rows.Length > 1 && SampleHeading.IsHeading(rows[0].Text) && Array.Exists(rows, row => row.HasDigit) ? rows[0]
            : null;
        string? label = heading is null && rows.Length > 0 ? SampleHeading.Label(rows[0].Text) : null;
        string? words = heading?.Text.Trim(' ', '"', '\'', '#', ',', ';', '\t', ':', '=') ?? label;
        return new SampleLayout(SampleShape.List, comma)
        {
            HeadingLine = heading?.Number ?? 0,
            Heading = words,
            UnitSeconds = words is null ? null : SampleHeading.Unit(words),
            SpaceParts = comma == CommaRole.Decimal && SampleCommas.SpacesPartThousands(rows),
        };
    }

    private static SampleLayout? Table(PastedLine[] rows, CellRule rule)
    {
        if (rows.Length < 2 || !CellSplitter.MayPart(rows[0].Text, rule))
            return null;
        Cell[][] cells = [.. rows.Select(row => CellSplitter.Split(row, rule))];
        int width = cells[0].Length;
        if (width < 2 || cells.Count(row => row.Length == width) < LeastReadable * rows.Length)
            return null;

        bool hasHeading = cells[0].Count(cell => SampleHeading.IsHeading(cell.Text)) >= Math.Max(1, width - 1)
            && !Array.Exists(cells[0], cell => DurationText.TryRead(cell.Text, out _));
        Cell[][] body = [.. cells.Skip(hasHeading ? 1 : 0).Where(row => row.Length == width)];
        if (body.Length == 0)
            return null;
        CommaRole comma = rule is CellRule.Comma ? CommaRole.Parts : SampleCommas.Role(body.SelectMany(row => row).Select(cell => cell.Text));
        var columns = Enumerable.Range(0, width).Select(at => SampleColumn.Of(hasHeading ? cells[0][at].Text : null, [.. body.Select(row => row[at].Text)], comma)).ToList();
        if (!hasHeading && !columns.Exists(column => column.IsIndex || column.Readable < 0.2))
            return null;
        if (SampleColumn.Choose(columns) is not { } choice)
            return null;
        SampleColumn best = columns[choice.At];

        // Sentences that happen to have equally many words are no table.
        if (!hasHeading && best.Readable < LeastReadable)
            return null;
        return new SampleLayout(SampleShape.Table, comma)
        {
            Rule = rule,
            Column = choice.At,
            HeadingLine = hasHeading ? rows[0].Number : 0,
            Heading = best.Heading,
            UnitSeconds = best.UnitSeconds,
            Chosen = best.Heading is { Length: > 0 } ? $"The column “{best.Heading}”" : FormattableString.Invariant($"Column {choice.At + 1}"),
            IsGuessed = choice.IsGuessed,
        };
    }
}
