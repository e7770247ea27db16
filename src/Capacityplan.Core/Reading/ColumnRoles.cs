namespace Capacityplan.Core.Reading;

/// <summary>A column of figures to read beside the core counts.</summary>
/// <param name="Index">Which column.</param>
/// <param name="BareKind">What a bare number in it is.</param>
/// <param name="UnitSeconds">What a bare time in it counts by its heading, seconds; null where the heading does not say.</param>
/// <param name="Sitting">The sitting all its runs belong to, where the heading numbers one.</param>
internal readonly record struct ValueColumn(int Index, ValueKind BareKind, double? UnitSeconds = null, string? Sitting = null);

/// <summary>What each column of a table is taken for.</summary>
internal sealed record ColumnRoles
{
    public required int Cores { get; init; }

    /// <summary>The columns to read, repeats of one another.</summary>
    public required IReadOnlyList<ValueColumn> Values { get; init; }

    /// <summary>The column to fall back on in rows where none of <see cref="Values"/> holds a figure.</summary>
    public ValueColumn? Fallback { get; init; }

    public int? Sitting { get; init; }

    public int? Size { get; init; }

    /// <summary>Columns that play no part, without those that are empty or only number the repeats.</summary>
    public required IReadOnlyList<int> Unused { get; init; }

    /// <summary>True where headings say which column holds cores and which the figures.</summary>
    public bool IsSure { get; init; }

    public double Plausibility { get; init; }

    /// <summary>True where columns without a heading are taken for repeats.</summary>
    public bool HasUnheadedRepeats { get; init; }

    /// <summary>The kind figures nobody named are taken for because they rise with the cores; null where they do not.</summary>
    public ValueKind? Rising { get; init; }
}

/// <summary>
/// Tells what the columns of a table hold: by their headings where these say it, else by their figures, since small whole
/// numbers that rise are core counts whatever the language of the heading.
/// </summary>
internal sealed class ColumnRoleFinder
{
    private readonly Heading[] _headings;
    private readonly string[] _texts;
    private readonly ColumnProfile[] _profiles;
    private readonly bool _hasKnownHeadings;
    private readonly TableLayout _layout;

    /// <param name="headings">Text above each column; empty where the table has no heading.</param>
    /// <param name="profiles">What each column holds.</param>
    /// <param name="layout">How the table lies in the text.</param>
    public ColumnRoleFinder(IReadOnlyList<string> headings, ColumnProfile[] profiles, TableLayout layout)
    {
        _layout = layout;
        _profiles = profiles;
        _texts = [.. Enumerable.Range(0, profiles.Length).Select(column => column < headings.Count ? headings[column] : "")];
        _headings = [.. _texts.Select(Heading.Read)];
        _hasKnownHeadings = _headings.Any(heading => heading.IsKnown);

        // "min" beside "max" or "mean" is the best run, not a unit.
        var isStatistic = _headings.Any(heading => heading.Meaning is WordMeaning.Extreme or WordMeaning.Central);
        for (var column = 0; column < _texts.Length; column++)
        {
            if (isStatistic && _texts[column].Equals("min", StringComparison.OrdinalIgnoreCase))
                _headings[column] = new Heading(WordMeaning.Extreme, null, null);
        }
    }

    /// <summary>The roles; null where no column can hold cores, or none figures beside them.</summary>
    public ColumnRoles? Find()
    {
        if (CoresColumn() is not { } cores)
            return null;

        var values = HeadedValues(cores, out var fallback);
        var areHeaded = values.Count > 0;
        if (!areHeaded)
            values = GuessedValues(cores);
        if (values.Count == 0 || StrangeWordsStandBetween(cores, values))
            return null;

        var headedCount = values.Count;
        AddUnheadedRepeats(cores, values);
        var sitting = SittingColumn(cores, values);
        int? size = Column(WordMeaning.Size, cores, values) ?? Column(WordMeaning.PerhapsSize, cores, values);
        return new ColumnRoles
        {
            Cores = cores,
            Values = values,
            Fallback = fallback,
            Sitting = sitting,
            Size = size,
            Unused = [.. UnusedColumns(cores, values, sitting, size)],
            IsSure = areHeaded && _headings[cores].Meaning is WordMeaning.Cores or WordMeaning.PerhapsCores,
            Plausibility = _profiles[cores].LooksLikeCores(mayBeRowNumber: false),
            HasUnheadedRepeats = values.Count > headedCount,
            Rising = areHeaded || values.Count > 1 ? null : RisingAs(cores, values[0]),
        };
    }

    private int? CoresColumn()
    {
        foreach (var meaning in (ReadOnlySpan<WordMeaning>)[WordMeaning.Cores, WordMeaning.PerhapsCores])
        {
            for (var column = 0; column < _headings.Length; column++)
            {
                if (_headings[column].Meaning == meaning && _profiles[column].Numbers > 0)
                    return column;
            }
        }

        int? best = null;
        var most = 0.0;
        for (var column = 0; column < _headings.Length; column++)
        {
            if (_headings[column].Meaning is not (WordMeaning.None or WordMeaning.PerhapsSize))
                continue;
            if (_layout.IsTransposed && !_profiles[column].RisesInSteps())
                continue;
            var likeness = _profiles[column].LooksLikeCores(mayBeRowNumber: _profiles.Length > 2);
            if (likeness > most)
                (best, most) = (column, likeness);
        }

        return best;
    }

    /// <summary>The columns whose headings say that they hold times; else speedups; else rates.</summary>
    private List<ValueColumn> HeadedValues(int cores, out ValueColumn? fallback)
    {
        var times = new List<ValueColumn>();
        var runs = new List<ValueColumn>();
        var sittings = new List<ValueColumn>();
        var summaries = new List<ValueColumn>();
        var centrals = 0;
        ValueColumn? speedup = null;
        ValueColumn? rate = null;
        for (var column = 0; column < _headings.Length; column++)
        {
            var heading = _headings[column];
            if (column == cores || _profiles[column].Filled == 0)
                continue;
            var time = new ValueColumn(column, ValueKind.Time, heading.UnitSeconds);
            switch (heading.Meaning)
            {
                case WordMeaning.Time or WordMeaning.PerhapsTime:
                    times.Add(time);
                    break;
                case WordMeaning.Central:
                    summaries.Insert(centrals++, time);
                    break;
                case WordMeaning.Extreme:
                    summaries.Add(time);
                    break;
                case WordMeaning.Run or WordMeaning.Repeat:
                    runs.Add(time);
                    break;
                case WordMeaning.Sitting:
                    sittings.Add(time with { Sitting = heading.Number?.ToString(System.Globalization.CultureInfo.InvariantCulture) ?? _texts[column] });
                    break;
                case WordMeaning.Speedup:
                    speedup ??= new ValueColumn(column, ValueKind.Speedup);
                    break;
                case WordMeaning.Rate:
                    rate ??= new ValueColumn(column, ValueKind.Rate);
                    break;
            }
        }

        KeepRepeats(times);
        if (runs.Count > 1)
            times.AddRange(runs);
        if (sittings.Count > 1)
            times.AddRange(sittings);
        if (times.Count == 0 && runs.Count == 1 && speedup is null && rate is null)
            times.AddRange(runs);
        if (times.Count == 0 && summaries.Count > 0)
            times.Add(summaries[0]);

        fallback = times.Count > 0 ? speedup ?? rate : null;
        times.Sort((one, other) => one.Index.CompareTo(other.Index));
        return times.Count > 0 ? times : speedup is { } factors ? [factors] : rate is { } rates ? [rates] : [];
    }

    /// <summary>
    /// Of several columns headed as times, keeps the first that names a unit and those that repeat it; a clock time, or the
    /// same times in another unit, is no repeat.
    /// </summary>
    private void KeepRepeats(List<ValueColumn> times)
    {
        if (times.Count < 2)
            return;
        var main = times.FindIndex(time => time.UnitSeconds is not null) is var named and >= 0 ? times[named]
            : times.FindIndex(time => _headings[time.Index].Meaning == WordMeaning.Time) is var sure and >= 0 ? times[sure]
            : times[0];
        times.RemoveAll(time => time.Index != main.Index
            && !(_headings[time.Index].Number is not null && _headings[main.Index].Number is not null)
            && !(time.UnitSeconds == main.UnitSeconds && _profiles[main.Index].CouldRepeat(_profiles[time.Index])));
    }

    /// <summary>The first column of figures nobody named; one whose figures say that they are times comes first.</summary>
    private List<ValueColumn> GuessedValues(int cores)
    {
        int? best = null;
        for (var column = 0; column < _profiles.Length; column++)
        {
            var profile = _profiles[column];
            if (column == cores || _headings[column].Meaning != WordMeaning.None || 2 * profile.AllFigures < profile.Filled || profile.AllFigures == 0)
                continue;
            if (best is not { } chosen || (profile.Durations > 0 && _profiles[chosen].Durations == 0))
                best = column;
        }

        return best is { } index ? [new ValueColumn(index, ValueKind.Time, _headings[index].UnitSeconds)] : [];
    }

    /// <summary>Columns without a heading, or headed by a number only, whose figures are near those of the first.</summary>
    private void AddUnheadedRepeats(int cores, List<ValueColumn> values)
    {
        var first = values[0];
        if (first.BareKind != ValueKind.Time)
            return;
        for (var column = first.Index + 1; column < _profiles.Length; column++)
        {
            if (column == cores || _headings[column].IsKnown || _texts[column].Any(char.IsLetter) || values.Exists(value => value.Index == column))
                continue;
            if (_profiles[first.Index].CouldRepeat(_profiles[column]))
                values.Add(first with { Index = column });
        }
    }

    private int? SittingColumn(int cores, List<ValueColumn> values) =>
        Column(WordMeaning.Sitting, cores, values) ?? Column(WordMeaning.Run, cores, values);

    private int? Column(WordMeaning meaning, int cores, List<ValueColumn> values)
    {
        for (var column = 0; column < _headings.Length; column++)
        {
            if (_headings[column].Meaning == meaning && column != cores && !values.Exists(value => value.Index == column) && _profiles[column].Filled > 0)
                return column;
        }

        return null;
    }

    private IEnumerable<int> UnusedColumns(int cores, List<ValueColumn> values, int? sitting, int? size) =>
        Enumerable.Range(0, _profiles.Length).Where(column =>
            column != cores && column != sitting && column != size && !values.Exists(value => value.Index == column)
            && _headings[column].Meaning is not (WordMeaning.Repeat or WordMeaning.Run)
            && _profiles[column].Filled > 0
            && (_headings[column].Meaning == WordMeaning.Label || _profiles[column].Filled > _profiles[column].Words));

    /// <summary>
    /// Where spaces part the cells and no heading helps, numbers inside sentences line up too; words that say nothing about
    /// cores or times before the last figure give them away.
    /// </summary>
    private bool StrangeWordsStandBetween(int cores, List<ValueColumn> values)
    {
        if (_hasKnownHeadings || !_layout.IsLoose)
            return false;
        var last = Math.Max(cores, values[^1].Index);
        return _profiles.Count(profile => profile.CoresWords > 0) > 1 || Enumerable.Range(0, last).Any(column => _profiles[column].StrangeWords > 0);
    }

    /// <summary>
    /// A figure that rises over three core counts or more without a fall between, by half and by the square root of the
    /// cores at least, is hardly a time. Starting at 1 it is a speedup, else a rate. The bounds are ours.
    /// </summary>
    private ValueKind? RisingAs(int cores, ValueColumn value)
    {
        var profile = _profiles[value.Index];
        if (value.UnitSeconds is not null || profile.Durations + profile.Factors + profile.Rates > 0)
            return null;
        var points = _profiles[cores].Figures.Zip(profile.Figures)
            .Where(pair => pair is { First: > 0, Second: > 0 })
            .GroupBy(pair => pair.First, pair => pair.Second)
            .Select(group => (Cores: group.Key, Figure: group.Average()))
            .OrderBy(point => point.Cores).ToList();
        if (points.Count < 3 || points[^1].Figure < 1.5 * points[0].Figure
            || points[^1].Figure / points[0].Figure < Math.Sqrt(points[^1].Cores / points[0].Cores))
            return null;
        for (var i = 1; i < points.Count; i++)
        {
            if (points[i].Figure <= points[i - 1].Figure)
                return null;
        }

        return points[0].Figure == 1 ? ValueKind.Speedup : ValueKind.Rate;
    }
}

/// <summary>How a table lies in the text.</summary>
/// <param name="IsTransposed">True where its columns stand as lines.</param>
/// <param name="IsLoose">True where only spaces part its cells.</param>
internal readonly record struct TableLayout(bool IsTransposed, bool IsLoose);
