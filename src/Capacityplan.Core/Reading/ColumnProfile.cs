namespace Capacityplan.Core.Reading;

/// <summary>What the first rows of a column hold, as a whole.</summary>
internal sealed class ColumnProfile
{
    /// <summary>How many rows are looked at to tell what a column holds.</summary>
    public const int SampleRows = 200;

    private readonly List<double> _cores = [];

    /// <summary>Cells that are not empty.</summary>
    public int Filled { get; private set; }

    /// <summary>Whole numbers a machine could have as its core count.</summary>
    public int Counts => _cores.Count;

    /// <summary>Numbers of any kind that could be meant as core counts.</summary>
    public int Numbers { get; private set; }

    /// <summary>Cells that say themselves that they count cores.</summary>
    public int SayCores { get; private set; }

    /// <summary>Durations that say their unit.</summary>
    public int Durations { get; private set; }

    /// <summary>Numbers without a unit.</summary>
    public int Bare { get; private set; }

    /// <summary>Factors and rates that say so themselves.</summary>
    public int Factors { get; private set; }

    public int Rates { get; private set; }

    /// <summary>Cells with words or marks and no digit.</summary>
    public int Words { get; private set; }

    /// <summary>Words that say nothing about cores or times.</summary>
    public int StrangeWords { get; private set; }

    /// <summary>Cells that are a word for cores.</summary>
    public int CoresWords { get; private set; }

    /// <summary>The figures, row by row; NaN where there is none.</summary>
    public List<double> Figures { get; } = [];

    public int AllFigures => Durations + Bare + Factors + Rates;

    public static ColumnProfile Of(IEnumerable<TableRow> rows, int column)
    {
        var profile = new ColumnProfile();
        foreach (var row in rows)
            profile.Add(row[column].Text);
        return profile;
    }

    /// <summary>
    /// How much the column looks like core counts: whole and positive above all, then in order, starting low, doubling.
    /// From 0, which rules it out, to about 12.
    /// </summary>
    public double LooksLikeCores(bool mayBeRowNumber)
    {
        if (Counts == 0 || Durations + Factors + Rates > 0 || 2 * Counts < Numbers || 2 * Numbers < Filled)
            return 0;
        var rises = true;
        var falls = true;
        var doubles = true;
        for (var i = 0; i < _cores.Count; i++)
        {
            doubles &= double.IsPow2(_cores[i]);
            rises &= i == 0 || _cores[i] >= _cores[i - 1];
            falls &= i == 0 || _cores[i] <= _cores[i - 1];
        }

        var least = _cores.Min();
        var most = _cores.Max();
        var isRowNumber = mayBeRowNumber && _cores.Count >= 3 && _cores.Select((cores, row) => cores == row + _cores[0]).All(follows => follows);
        return 4.0 * Counts / Filled
            + (SayCores > 0 ? 2 : 0)
            + (rises ? 2 : falls ? 1 : 0)
            + (least == 1 ? 2 : least <= 4 ? 1 : 0)
            + (doubles ? 1 : 0)
            + (most > least ? 1 : 0)
            + (most <= 1024 ? 1 : most > 100_000 ? -2 : 0)
            - (isRowNumber ? 2 : 0);
    }

    /// <summary>True where core counts rise in steps people take: for figures along a row, that alone tells them from times.</summary>
    public bool RisesInSteps()
    {
        for (var i = 1; i < _cores.Count; i++)
        {
            if (!(_cores[i] > _cores[i - 1]) || _cores[i] > 16 * _cores[i - 1])
                return false;
        }

        return _cores.Count >= 2;
    }

    /// <summary>True where the figures of another column are so near these in each row that they can be repeats of them.</summary>
    public bool CouldRepeat(ColumnProfile other)
    {
        var compared = 0;
        for (var i = 0; i < Figures.Count; i++)
        {
            if (double.IsNaN(Figures[i]) || double.IsNaN(other.Figures[i]))
                continue;
            if (!(other.Figures[i] <= 2 * Figures[i] && Figures[i] <= 2 * other.Figures[i]))
                return false;
            compared++;
        }

        return compared > 0;
    }

    private void Add(string text)
    {
        var figure = double.NaN;
        if (text.Length > 0)
        {
            Filled++;
            var cores = CoresText.Read(text);
            if (cores.State == CoresState.Read)
                Numbers++;
            if (cores.IsCount)
                _cores.Add(cores.Number);
            if (cores.State == CoresState.Read && cores.SaysCores)
                SayCores++;

            var value = ValueText.Read(text, null, DecimalMark.Unknown);
            if (value.IsFigure && !cores.SaysCores)
            {
                figure = value.Amount;
                Durations += value is { Kind: ValueKind.Time, HasUnit: true } ? 1 : 0;
                Bare += value is { Kind: ValueKind.Time, HasUnit: false } ? 1 : 0;
                Factors += value.Kind == ValueKind.Speedup ? 1 : 0;
                Rates += value.Kind == ValueKind.Rate ? 1 : 0;
            }
            else if (value.Kind == ValueKind.Missing)
            {
                Words++;
                StrangeWords += !text.Any(char.IsLetter) || Heading.Read(text).IsKnown ? 0 : 1;
                CoresWords += HeadingWords.IsCores(text.AsSpan().Trim(":,;.")) ? 1 : 0;
            }
        }

        Figures.Add(figure);
    }
}
