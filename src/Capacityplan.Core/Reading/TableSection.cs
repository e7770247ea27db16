namespace Capacityplan.Core.Reading;

/// <summary>One table under one heading, read row by row.</summary>
internal sealed class TableSection(
    Interpretation result, TableHeading heading, ColumnRoles roles, TableLayout layout, int group)
{
    private bool _hasSpread;
    private bool _isFallbackUsed;
    private int _runs;

    /// <summary>Reads a row: runs where it holds a core count and figures, else a finding where it should, else nothing.</summary>
    public void Read(TableRow row)
    {
        if (!row.HasDigit)
            return;

        var coresCell = row[roles.Cores];
        var cores = CoresText.Read(coresCell.Text);
        var readings = Readings(row, roles.Values);
        var figures = readings.Where(value => value.Reading.IsFigure).ToList();
        ValueReading? beside = null;
        if (roles.Fallback is { } fallback)
        {
            var other = Readings(row, [fallback]).Find(value => value.Reading.IsFigure);
            if (figures.Count == 0 && other.Reading.IsFigure)
            {
                figures.Add(other);
                _isFallbackUsed = true;
            }
            else if (other.Reading.IsFigure)
                beside = other.Reading with { Kind = fallback.BareKind };
        }

        if (cores.State != CoresState.Read)
        {
            if (figures.Count > 0 && ShouldHoldCores(row, figures[0].Reading))
                Doubt(row, cores.State == CoresState.Missing
                    ? new Finding(FindingKind.NoCores, coresCell.At, figures[0].Cell.Text)
                    : new Finding(FindingKind.NotCores, coresCell.At, coresCell.Text));
            return;
        }

        if (figures.Count == 0)
        {
            var (cell, reading, _) = readings[Math.Max(0, readings.FindIndex(value => value.Reading.Kind == ValueKind.Unreadable))];
            if (reading.Kind == ValueKind.Unreadable)
                Doubt(row, new Finding(FindingKind.NotATime, cell.At, cell.Text, cores.Number));
            else if (ShouldHoldATime(cell))
                Doubt(row, new Finding(FindingKind.NoTime, cell.At, cell.Text, cores.Number));
            return;
        }

        foreach (var (cell, reading, column) in readings)
        {
            if (reading.Kind == ValueKind.Unreadable)
                Doubt(row, new Finding(FindingKind.NotATime, cell.At, cell.Text, cores.Number));
        }

        var sitting = roles.Sitting is { } sittingColumn && row[sittingColumn] is { IsEmpty: false } label ? label.Text : null;
        var (size, sizeCell) = Size(row, cores.Number);
        foreach (var (cell, reading, column) in figures)
        {
            var kind = reading is { Kind: ValueKind.Time, HasUnit: false } ? roles.Rising ?? column.BareKind : reading.Kind;
            result.Add(new FoundRun
            {
                Cores = cores.Number,
                MayBeThousandsOfCores = cores.MayBeThousands,
                CoresAt = coresCell.Part(cores.Start, cores.Length),
                Text = cell.Text,
                Value = reading with { Kind = kind },
                ValueAt = cell.Part(reading.Start, reading.Length),
                Group = group,
                Beside = beside,
                UnitSeconds = column.UnitSeconds,
                Sitting = column.Sitting ?? sitting,
                Size = size,
                SizeCell = sizeCell,
            });
            _runs++;
            LookBehind(cell, reading, cores.Number);
        }

        LookForFailures(row, cores.Number);
        result.Use(row.First, row.Last);
    }

    /// <summary>Closes the table: says which columns played no part, and what was taken for granted.</summary>
    public void Finish(IReadOnlyList<TableRow> rows)
    {
        if (_runs == 0)
            return;
        foreach (var cell in heading.Cells)
            result.Use(cell.Line, cell.Line);
        result.IsSure |= roles.IsSure;
        result.Plausibility = Math.Max(result.Plausibility, roles.Plausibility);
        foreach (var column in roles.Unused.Where(column => !(_isFallbackUsed && column == roles.Fallback?.Index)))
            NoteUnused(rows, column);
        if (roles.Rising is { } kind)
            result.Findings.Add(new Finding(FindingKind.RisingFigures, At(rows, roles.Values[0].Index), kind == ValueKind.Speedup ? "speedups" : "rates"));
        if (roles.HasUnheadedRepeats && heading.Rows > 0)
            result.Findings.Add(new Finding(FindingKind.UnheadedRepeats, At(rows, roles.Values[^1].Index)));
    }

    private static List<(Cell Cell, ValueReading Reading, ValueColumn Column)> Readings(TableRow row, IReadOnlyList<ValueColumn> columns)
    {
        var readings = new List<(Cell, ValueReading, ValueColumn)>(columns.Count);
        foreach (var column in columns)
        {
            var cell = row[column.Index];
            readings.Add((cell, ValueText.Read(cell.Text, column.UnitSeconds, DecimalMark.Unknown), column));
        }

        return readings;
    }

    /// <summary>A row without a core count is a mistake where it fits the table; elsewhere it is prose with a figure.</summary>
    private bool ShouldHoldCores(TableRow row, ValueReading figure) =>
        layout.IsLoose ? roles.IsSure && row.Cells.Length == heading.Cells.Count : roles.IsSure || figure.HasUnit;

    /// <summary>Without a heading, a number before words may begin a sentence; before a dash or nothing it lacks its time.</summary>
    private bool ShouldHoldATime(Cell cell) => heading.Rows > 0 || !layout.IsLoose || !cell.Text.Any(char.IsLetter) || cell.Text[0] is '-' or '–' or '—';

    private void Doubt(TableRow row, Finding finding)
    {
        result.Findings.Add(finding);
        result.Use(row.First, row.Last);
    }

    private (double? Size, Cell? Cell) Size(TableRow row, double cores)
    {
        if (roles.Size is not { } column || row[column] is not { IsEmpty: false } cell)
            return (null, null);
        if (SizeText.TryRead(cell.Text, out var size))
            return (size, cell);
        result.Findings.Add(new Finding(FindingKind.NotASize, cell.At, cell.Text, cores));
        return (null, null);
    }

    /// <summary>Looks at what stands in the cell behind the figure.</summary>
    private void LookBehind(Cell cell, ValueReading reading, double cores)
    {
        if (reading.Remark == 0)
            return;
        var remark = cell.Text[reading.Remark..].TrimStart();
        var at = cell.Part(cell.Text.Length - remark.Length, remark.Length);
        if (remark[0] is '±' or '+')
        {
            if (!_hasSpread)
                result.Findings.Add(new Finding(FindingKind.Spread, at));
            _hasSpread = true;
        }
        else if (FailureWords.In(remark) is { } failure)
        {
            result.Findings.Add(new Finding(FindingKind.Unfinished, at, failure, cores));
        }
        else if (PastedLine.ContainsDigit(remark))
        {
            result.Findings.Add(new Finding(FindingKind.UnusedFigures, at, remark));
        }
    }

    private void LookForFailures(TableRow row, double cores)
    {
        for (var column = 0; column < row.Cells.Length; column++)
        {
            if (column != roles.Cores && !PastedLine.ContainsDigit(row.Cells[column].Text) && FailureWords.In(row.Cells[column].Text) is { } failure)
            {
                result.Findings.Add(new Finding(FindingKind.Unfinished, row.Cells[column].At, failure, cores));
                return;
            }
        }
    }

    private void NoteUnused(IReadOnlyList<TableRow> rows, int column)
    {
        var text = column < heading.Texts.Count ? heading.Texts[column] : "";
        if (Heading.Read(text).Meaning == WordMeaning.Label)
        {
            var names = rows.Select(row => row[column].Text).Where(name => name.Length > 0).Distinct(StringComparer.Ordinal).Count();
            if (names < 2)
                return;
            result.Findings.Add(new Finding(FindingKind.ManyNames, At(rows, column), names.ToString("#,0", System.Globalization.CultureInfo.InvariantCulture)));
            return;
        }

        var name = text.Length > 0 ? $"The column {FindingWords.Quoted(text)}" : $"{(layout.IsTransposed ? "Row" : "Column")} {column + 1}";
        result.Findings.Add(new Finding(FindingKind.UnusedColumn, At(rows, column), name));
    }

    /// <summary>Where a column begins: its heading, else its first cell.</summary>
    private TextSpan At(IReadOnlyList<TableRow> rows, int column)
    {
        if (column < heading.Cells.Count && !heading.Cells[column].IsEmpty)
            return heading.Cells[column].At;
        return rows.Select(row => row[column]).FirstOrDefault(cell => !cell.IsEmpty, rows[0][column]).At;
    }
}
