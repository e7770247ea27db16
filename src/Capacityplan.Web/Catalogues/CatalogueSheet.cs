using System.Collections.Immutable;
using Capacityplan.Core;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Reading;

namespace Capacityplan.Web.Catalogues;

/// <summary>A machine's row on the sheet.</summary>
/// <param name="Key">Tells the row from the others while the sheet is open.</param>
/// <param name="Draft">What is typed in it.</param>
/// <param name="Stored">What it was when the sheet was last stored or opened; null where it was not there.</param>
public sealed record SheetRow(int Key, MachineDraft Draft, MachineDraft? Stored);

/// <summary>A row that was deleted, and where it stood.</summary>
/// <param name="Row">The row.</param>
/// <param name="Index">Its place, from 0.</param>
public sealed record DeletedRow(SheetRow Row, int Index);

/// <summary>
/// A catalogue while it is edited: what is typed in every cell, and what it was understood as. Not for several threads.
/// </summary>
public sealed partial class CatalogueSheet
{
    private readonly List<SheetRow> _rows = [];
    private readonly Stack<DeletedRow> _deleted = new();
    private readonly HashSet<(int Key, int Way, MachineField Field)> _told = [];
    private (int Key, int Way, MachineField Field)? _typing;
    private bool _typingHead;
    private int _lastKey;

    /// <summary>Opens a catalogue.</summary>
    /// <param name="draft">What its owner typed.</param>
    public CatalogueSheet(CatalogueDraft draft)
    {
        foreach (MachineDraft machine in draft.Machines)
            _rows.Add(new SheetRow(++_lastKey, machine, machine));
        (Head, StoredHead) = (draft, draft);
        Reading = Read();
    }

    /// <summary>The rows, in the order entered.</summary>
    public IReadOnlyList<SheetRow> Rows => _rows;

    /// <summary>What it was all understood as.</summary>
    public CatalogueDraftReading Reading { get; private set; }

    /// <summary>What is typed.</summary>
    public CatalogueDraft Draft => Reading.Draft;

    /// <summary>The row deleted last; null where none was.</summary>
    public DeletedRow? LastDeleted => _deleted.TryPeek(out DeletedRow? last) ? last : null;

    /// <summary>The rows that are deleted here and were there when the sheet was last stored or opened.</summary>
    public IEnumerable<SheetRow> DeletedStored => _deleted.Select(deleted => deleted.Row).Where(row => row.Stored is not null);

    /// <summary>What is typed above the rows.</summary>
    public CatalogueDraft Head { get; private set; }

    /// <summary>The same when the sheet was last stored or opened.</summary>
    public CatalogueDraft StoredHead { get; private set; }

    /// <summary>What is wrong or doubtful above the rows; what is just being typed is left alone until it is done.</summary>
    public IEnumerable<Problem> ToldProblems => _typingHead ? [] : Reading.Problems;

    /// <summary>How many cells cannot be read.</summary>
    public int Refused => Reading.Cells.Count(cell => cell.Refuses) + Reading.Rates.Count(rate => rate.Problem.Severity != ProblemSeverity.Note);

    /// <summary>Takes the catalogue's name.</summary>
    public void TypeName(string text) => TakeHead(Head with { Name = text }, isTyping: true);

    /// <summary>Takes the day of its prices.</summary>
    public void TypePricesOf(string text) => TakeHead(Head with { PricesOf = text }, isTyping: true);

    /// <summary>Takes the day of its prices from a button.</summary>
    public void SetPricesOf(DateOnly day) => TakeHead(Head with { PricesOf = CatalogueDraft.WriteDay(day) }, isTyping: false);

    /// <summary>Takes whether its prices are invented.</summary>
    public void SetInvented(bool areInvented) => TakeHead(Head with { PricesAreInvented = areInvented }, isTyping: false);

    /// <summary>Takes a cell's text.</summary>
    /// <param name="key">The row; one that is gone takes nothing.</param>
    /// <param name="field">The cell.</param>
    /// <param name="text">The text.</param>
    public void Type(int key, MachineField field, string text)
    {
        int index = IndexOf(key);
        if (index < 0)
            return;
        _rows[index] = _rows[index] with { Draft = _rows[index].Draft.With(field, text) };
        _typing = (key, 0, field);
        Reading = Read();
    }

    /// <summary>Typing is done: the cell was left. What is wrong with it is told from now on.</summary>
    public void Settle()
    {
        (_typing, _typingHead, _typingRate) = (null, false, null);
        _told.UnionWith(Reading.Cells.Select(Place));
    }

    /// <summary>
    /// What to tell of a row: all that is wrong or doubtful, but for the cell being typed in, which may be half done; what
    /// was told of it before stays until it is mended. Cells a new row still lacks are for <see cref="Lacking(SheetRow)"/>.
    /// </summary>
    public ImmutableArray<CellProblem> Told(SheetRow row) =>
        [.. ProblemsOf(row).Where(problem => (Place(problem) != _typing || _told.Contains(Place(problem))) && !IsLacking(problem))];

    /// <summary>The cells that keep a row from being a machine because nothing is typed in them yet; none for a row that was
    /// one before.</summary>
    public ImmutableArray<MachineField> Lacking(SheetRow row) => Lacking(row, way: 0);

    /// <summary>Adds a row at the end. What machines of one list share is taken over from the row before it.</summary>
    /// <returns>Its key.</returns>
    public int Add()
    {
        MachineDraft? before = _rows.Count > 0 ? _rows[^1].Draft : null;
        return Insert(_rows.Count, new MachineDraft
        {
            RelativeCoreSpeed = before?.RelativeCoreSpeed ?? "1",
            StartUp = before?.StartUp ?? "0",
            Currency = before?.Currency ?? "EUR",
            Increment = before?.Increment ?? "1",
            Minimum = before?.Minimum ?? "0",
        });
    }

    /// <summary>Adds a copy of a row below it, under a name of its own.</summary>
    /// <returns>Its key.</returns>
    public int Duplicate(int key)
    {
        int index = IndexOf(key);
        MachineDraft original = _rows[index].Draft;
        string stem = $"{original.Name.Trim()} copy".Trim();
        string name = stem;
        for (int copy = 2; _rows.Exists(row => IsCalled(row, name)); copy++)
            name = FormattableString.Invariant($"{stem} {copy}");
        return Insert(index + 1, original with { Name = name, Kept = original.Kept is { } kept ? kept with { Name = name } : null });
    }

    /// <summary>Deletes a row; <see cref="PutBack"/> undoes it.</summary>
    public void Delete(int key)
    {
        int index = IndexOf(key);
        if (index < 0)
            return;
        _deleted.Push(new DeletedRow(_rows[index], index));
        _rows.RemoveAt(index);
        Reading = Read();
    }

    /// <summary>Puts back the row deleted last, as it was.</summary>
    /// <returns>Its key; null where there is none.</returns>
    public int? PutBack()
    {
        if (!_deleted.TryPop(out DeletedRow? deleted))
            return null;
        SheetRow row = deleted.Row;
        // A machine that took its name meanwhile keeps it; this row then asks for another.
        if (row.Draft.Kept is { } kept && _rows.Exists(other => IsCalled(other, kept.Name)))
            row = row with { Draft = row.Draft with { Kept = null } };
        _rows.Insert(Math.Min(deleted.Index, _rows.Count), row);
        Reading = Read();
        return row.Key;
    }

    /// <summary>Gives up the rows that could be put back.</summary>
    public void ForgetDeleted() => _deleted.Clear();

    /// <summary>Notes what is stored now: the sheet as it was when the save began.</summary>
    /// <param name="stored">The rows that were saved, by key.</param>
    /// <param name="head">What was saved above them.</param>
    public void MarkStored(IEnumerable<SheetRow> stored, CatalogueDraft head)
    {
        Dictionary<int, MachineDraft> drafts = stored.ToDictionary(row => row.Key, row => row.Draft);
        for (int index = 0; index < _rows.Count; index++)
            _rows[index] = _rows[index] with { Stored = drafts.GetValueOrDefault(_rows[index].Key) };
        DeletedRow[] deleted = [.. _deleted.Reverse()];
        _deleted.Clear();
        foreach (DeletedRow gone in deleted)
            _deleted.Push(gone with { Row = gone.Row with { Stored = drafts.GetValueOrDefault(gone.Row.Key) } });
        StoredHead = head;
    }

    /// <summary>Takes in what somebody else stored since; see <see cref="CatalogueMerge"/>.</summary>
    /// <param name="theirs">What is stored now.</param>
    /// <returns>Where both had typed and this sheet's text stands.</returns>
    public ImmutableArray<string> TakeIn(CatalogueDraft theirs)
    {
        CatalogueMerge merge = CatalogueMerge.Of(this, theirs);
        _rows.Clear();
        foreach ((MachineDraft draft, MachineDraft? stored, int? key) in merge.Rows)
            _rows.Add(new SheetRow(key ?? ++_lastKey, draft, stored));
        (Head, StoredHead) = (merge.Head, theirs);
        Reading = Read();
        return merge.Clashes;
    }

    /// <summary>A blank of a further way to pay is always only lacking: it was added here and is being filled in.</summary>
    private bool IsLacking(CellProblem problem) => _rows[problem.Row].Draft is var draft && problem.Way > 0
        ? string.IsNullOrWhiteSpace(draft.Further[problem.Way - 1][problem.Field])
        : draft.Kept is null && string.IsNullOrWhiteSpace(draft[problem.Field]);

    private (int Key, int Way, MachineField Field) Place(CellProblem problem) => (_rows[problem.Row].Key, problem.Way, problem.Field);

    private IEnumerable<CellProblem> ProblemsOf(SheetRow row)
    {
        int index = IndexOf(row.Key);
        return Reading.Cells.Where(problem => problem.Row == index);
    }

    private void TakeHead(CatalogueDraft head, bool isTyping)
    {
        Head = head;
        _typingHead = isTyping;
        Reading = Read();
    }

    /// <summary>Reads the sheet, and lets every row keep the machine it makes now.</summary>
    private CatalogueDraftReading Read()
    {
        CatalogueDraftReading reading = CatalogueDraftReader.Read(Head with { Machines = [.. _rows.Select(row => row.Draft)] });
        for (int index = 0; index < _rows.Count; index++)
            _rows[index] = _rows[index] with { Draft = reading.Draft.Machines[index] };
        Head = reading.Draft;
        _told.IntersectWith(reading.Cells.Select(Place));
        return reading;
    }

    private int Insert(int index, MachineDraft draft)
    {
        _rows.Insert(index, new SheetRow(++_lastKey, draft, null));
        Reading = Read();
        return _lastKey;
    }

    private int IndexOf(int key) => _rows.FindIndex(row => row.Key == key);

    private static bool IsCalled(SheetRow row, string name) =>
        string.Equals(row.Draft.Name.Trim(), name, StringComparison.OrdinalIgnoreCase)
        || string.Equals(row.Draft.Kept?.Name, name, StringComparison.OrdinalIgnoreCase);
}
