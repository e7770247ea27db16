using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Exchange;

/// <summary>Gathers the rows of a file into machines, and remembers where each figure stood.</summary>
internal sealed class ImportGathering
{
    /// <summary>The fields of the machine itself.</summary>
    public static readonly ImmutableArray<MachineField> MachineFields =
    [
        MachineField.Name, MachineField.HardwareThreads, MachineField.PhysicalCores, MachineField.RelativeCoreSpeed, MachineField.Memory,
        MachineField.MemoryBandwidth, MachineField.StartUp,
    ];

    private readonly ImportTable _table;
    private readonly ImmutableArray<ColumnChoice> _columns;
    private readonly ImmutableArray<string?> _currencies;
    private readonly DecimalMark _mark;
    private readonly ImportChoices _choices;
    private readonly List<Gathered> _machines = [];
    private readonly Dictionary<string, Gathered> _byName = new(StringComparer.OrdinalIgnoreCase);
    private readonly List<RateDraft> _rates = [];
    private readonly List<FileRow> _rateRows = [];
    private readonly List<ImportProblem> _problems = [];
    private string _name = "", _pricesOf = "", _invented = "";
    private Gathered? _last;

    public ImportGathering(ImportTable table, ImmutableArray<ColumnChoice> columns, ImportChoices choices)
    {
        (_table, _columns, _choices) = (table, columns, choices);
        _currencies = [.. table.Columns.Select(column => HeadingTokens.Of(column.Heading).Currency)];
        int[] figures = [.. Enumerable.Range(0, columns.Length).Where(column => columns[column].Meaning.IsFigure)];
        _mark = ImportFigure.MarkOf(table.Rows.SelectMany(row => figures.Select(column => row[column])), table.File.IsPartedBySemicolons);
        _problems.AddRange(table.Notes.Select(note => new ImportProblem(note.Line ?? 0, 0, note.Line is null ? "the file" : RowWords(note.Line.Value), note)));
        TellTwice();
        if (_mark == DecimalMark.Comma)
            _problems.Add(OfFile("A comma stands before the decimals in this file."));
    }

    /// <summary>Takes a row.</summary>
    public void Take(FileRow file)
    {
        var row = new ImportRow(file, _columns, _currencies, _mark);
        _name = _name.Length > 0 ? _name : row[ColumnMeaning.Catalogue];
        _pricesOf = _pricesOf.Length > 0 ? _pricesOf : Day(row[ColumnMeaning.PricesOf]);
        _invented = _invented.Length > 0 ? _invented : row[ColumnMeaning.Invented];
        string? kind = KindWords.Find(row[MachineField.Kind]);
        if (kind == ImportWords.RateKind)
        {
            _rates.Add(new RateDraft { From = row[MachineField.Currency], To = row[ColumnMeaning.ConvertedInto], Rate = row[ColumnMeaning.Rate], TakenOn = Day(row[ColumnMeaning.RateTakenOn]) });
            _rateRows.Add(file);
            return;
        }

        if (row.SaysNothingOfAMachine)
            return;
        Gathered machine = MachineOf(row);
        foreach (PurchaseDraft way in ImportWays.Of(row, kind, _choices.Currency))
            AddWay(machine, row, way);
    }

    /// <summary>Reads what was gathered.</summary>
    public CatalogueImport Finish()
    {
        CatalogueDraftReading reading = CatalogueDraftReader.Read(new CatalogueDraft
        {
            Name = _name,
            KeptName = "Imported",
            PricesOf = _pricesOf,
            Machines = [.. _machines.Select(machine => machine.Draft)],
            Rates = [.. _rates],
        });
        foreach (CellProblem cell in reading.Cells)
            _problems.Add(Placed(_machines[cell.Row], cell));
        foreach (RateProblem rate in reading.Rates)
            _problems.Add(new ImportProblem(_rateRows[rate.Line].Number, 0, Place(_rateRows[rate.Line], -1), rate.Problem));
        foreach (Problem head in reading.Problems.Where(problem => problem.Path == nameof(CatalogueDraft.PricesOf)))
            _problems.Add(new ImportProblem(0, 0, "the file", head));
        if (_machines.Count == 0)
            _problems.Add(new ImportProblem(0, 0, "the file", new Problem(ProblemSeverity.Error, "No row was read as a machine. Say which column holds the machines’ names.")));
        return new CatalogueImport
        {
            Name = _name,
            PricesOf = _pricesOf,
            PricesAreInvented = _invented.Length == 0 ? null : _invented.Trim().ToLowerInvariant() is "true" or "yes" or "1" or "invented",
            Reading = reading,
            MachineRows = [.. _machines.Select(machine => machine.First.Number)],
            Problems = [.. _problems.OrderBy(problem => problem.Row).ThenBy(problem => problem.Column)],
        };
    }

    private Gathered MachineOf(ImportRow row)
    {
        // A blank name below a machine goes on with it, as joined cells do.
        if (row.IsOnlyAWayToPay && _last is not null)
            return _last;
        if (row.Name.Length > 0 && _byName.TryGetValue(row.Name, out Gathered? known))
        {
            TellDifferences(known, row);
            return _last = known;
        }

        var draft = new MachineDraft();
        foreach (MachineField field in MachineFields)
            draft = draft.With(field, row[field]);
        var machine = new Gathered(WithCounts(draft), row.Row);
        foreach (MachineField field in MachineFields)
            machine.Places[(0, field)] = (row.Row, row.ColumnOf(field));
        _machines.Add(machine);
        if (row.Name.Length > 0)
            _byName[row.Name] = machine;
        return _last = machine;
    }

    /// <summary>One of the two counts from the other, where the file has only one and it was said how they stand.</summary>
    private MachineDraft WithCounts(MachineDraft draft)
    {
        if (_choices.ThreadsPerCore is not { } perCore)
            return draft;
        if (draft.PhysicalCores.Length == 0 && NumberText.TryRead(draft.HardwareThreads, out double threads))
            return draft with { PhysicalCores = Math.Max(1, Math.Floor(threads / perCore)).ToString(CultureInfo.InvariantCulture) };
        if (draft.HardwareThreads.Length == 0 && NumberText.TryRead(draft.PhysicalCores, out double cores))
            return draft with { HardwareThreads = (cores * perCore).ToString(CultureInfo.InvariantCulture) };
        return draft;
    }

    private void AddWay(Gathered machine, ImportRow row, PurchaseDraft way)
    {
        bool isFirst = !machine.HasWays;
        machine.HasWays = true;
        int place = 0;
        if (isFirst && way.Kind == MeteredPurchase.KindName)
        {
            foreach (MachineField field in PurchaseDraft.FieldsOf(way.Kind))
                machine.Draft = machine.Draft.With(field, way[field]);
        }
        else
        {
            if (machine.Draft.Further.Contains(way))
            {
                _problems.Add(new ImportProblem(row.Row.Number, 0, Place(row.Row, -1), new Problem(ProblemSeverity.Note, $"{machine.Draft.Name} is paid for in the same way further up; this row adds nothing.")));
                return;
            }

            machine.Draft = machine.Draft with { Further = machine.Draft.Further.Add(way) };
            place = machine.Draft.Further.Length;
        }

        foreach (MachineField field in PurchaseDraft.FieldsOf(way.Kind).Add(MachineField.Kind))
            machine.Places[(place, field)] = (row.Row, row.ColumnOf(field));
    }

    private void TellDifferences(Gathered known, ImportRow row)
    {
        foreach (MachineField field in MachineFields.Where(field => field != MachineField.Name && row.Has(field)))
        {
            string stands = known.Draft[field];
            if (stands.Length == 0)
                known.Draft = known.Draft.With(field, row[field]);
            else if (stands != row[field])
                _problems.Add(new ImportProblem(row.Row.Number, row.ColumnOf(field) + 1, Place(row.Row, row.ColumnOf(field)), new Problem(
                    ProblemSeverity.Warning, $"{known.Draft.Name} stands in row {known.First.Number} already, with {stands} here; that stays. Give another machine another name.")));
        }
    }

    private void TellTwice()
    {
        foreach (IGrouping<ColumnMeaning, int> same in Enumerable.Range(0, _columns.Length).GroupBy(column => _columns[column].Meaning))
        {
            if (same.Key != ColumnMeaning.LeftOut && same.Count() > 1)
                _problems.Add(OfFile($"{same.Count()} columns are read as {same.Key.Words}. In each row the first that is not blank counts.", ProblemSeverity.Warning));
        }
    }

    private static ImportProblem OfFile(string message, ProblemSeverity severity = ProblemSeverity.Note) => new(0, 0, "the file", new Problem(severity, message));

    private ImportProblem Placed(Gathered machine, CellProblem cell)
    {
        (FileRow row, int column) = machine.Places.TryGetValue((cell.Way, cell.Field), out (FileRow, int) found) ? found : (machine.First, -1);
        if (column < 0)
            column = Enumerable.Range(0, _columns.Length).FirstOrDefault(index => _columns[index].Meaning.Field == cell.Field, -1);
        return new ImportProblem(row.Number, column + 1, Place(row, column), cell.Problem);
    }

    private string Place(FileRow row, int column)
    {
        string where = row.Place ?? RowWords(row.Number);
        return column < 0 ? where : $"{where}, “{_table.Columns[column].Label}”";
    }

    private static string RowWords(int row) => string.Create(CultureInfo.InvariantCulture, $"row {row}");

    /// <summary>A day as the catalogue writes it, a spreadsheet's number of days since the end of 1899 too; other texts as they are.</summary>
    private static string Day(string text)
    {
        if (DateText.TryRead(text, out DateOnly day))
            return CatalogueDraft.WriteDay(day);
        return NumberText.TryRead(text, out double days) && days is > 20_000 and < 80_000 && days == Math.Floor(days)
            ? CatalogueDraft.WriteDay(new DateOnly(1899, 12, 30).AddDays((int)days))
            : text;
    }

    private sealed class Gathered(MachineDraft draft, FileRow first)
    {
        public MachineDraft Draft { get; set; } = draft;

        public FileRow First { get; } = first;

        public bool HasWays { get; set; }

        public Dictionary<(int Way, MachineField Field), (FileRow Row, int Column)> Places { get; } = [];
    }
}
