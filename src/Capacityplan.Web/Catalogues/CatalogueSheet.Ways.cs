using System.Collections.Immutable;
using Capacityplan.Core.Exchange;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Reading;

namespace Capacityplan.Web.Catalogues;

// The further ways to pay, the conversion rates, and what comes in from a file.
public sealed partial class CatalogueSheet
{
    private (int Line, RateField Field)? _typingRate;
    private BeforeImport? _beforeImport;

    /// <summary>What an import did, in words, while it can be undone; null otherwise.</summary>
    public string? Imported => _beforeImport?.Words;

    /// <summary>What to tell of the conversion rates; what is just being typed is left alone until it is done.</summary>
    public IEnumerable<RateProblem> ToldRates => Reading.Rates.Where(rate => (rate.Line, rate.Field) != _typingRate && !IsBlank(rate));

    /// <summary>The blanks of a conversion rate in which nothing is typed yet.</summary>
    public IEnumerable<RateProblem> LackingRates => Reading.Rates.Where(IsBlank);

    /// <summary>The blanks of a further way to pay in which nothing is typed yet though it needs it.</summary>
    /// <param name="row">The machine's row.</param>
    /// <param name="way">The way, from 1; 0 for the row's own cells.</param>
    public ImmutableArray<MachineField> Lacking(SheetRow row, int way) =>
        [.. ProblemsOf(row).Where(problem => problem.Way == way && IsLacking(problem)).Select(problem => problem.Field)];

    /// <summary>Adds a way to pay to a row.</summary>
    /// <param name="key">The row; one that is gone takes nothing.</param>
    /// <param name="way">The way.</param>
    public void AddWay(int key, PurchaseDraft way) => Change(key, draft => draft with { Further = draft.Further.Add(way) });

    /// <summary>Takes a way to pay away.</summary>
    /// <param name="key">The row; one that is gone takes nothing.</param>
    /// <param name="way">The way, from 1.</param>
    public void RemoveWay(int key, int way)
    {
        _told.RemoveWhere(place => place.Key == key && place.Way > 0);
        Change(key, draft => way >= 1 && way <= draft.Further.Length ? draft with { Further = draft.Further.RemoveAt(way - 1) } : draft);
    }

    /// <summary>Takes a text of a further way to pay.</summary>
    /// <param name="key">The row; one that is gone takes nothing.</param>
    /// <param name="way">The way, from 1; one that is gone takes nothing.</param>
    /// <param name="field">The blank.</param>
    /// <param name="text">The text.</param>
    public void TypeWay(int key, int way, MachineField field, string text)
    {
        _typing = (key, way, field);
        Change(key, draft => way <= draft.Further.Length ? draft with { Further = draft.Further.SetItem(way - 1, draft.Further[way - 1].With(field, text)) } : draft);
    }

    /// <summary>Adds a conversion rate.</summary>
    /// <param name="today">The day it is taken for until another is typed.</param>
    public void AddRate(DateOnly today) =>
        TakeRates(Head.Rates.Add(new RateDraft { From = ForeignCurrency() ?? "", To = MainCurrency() ?? "", TakenOn = CatalogueDraft.WriteDay(today) }));

    /// <summary>Takes a conversion rate away.</summary>
    public void RemoveRate(int line) => TakeRates(line < Head.Rates.Length ? Head.Rates.RemoveAt(line) : Head.Rates);

    /// <summary>Takes a text of a conversion rate.</summary>
    public void TypeRate(int line, RateField field, string text)
    {
        if (line >= Head.Rates.Length)
            return;
        RateDraft rate = Head.Rates[line];
        _typingRate = (line, field);
        TakeRates(Head.Rates.SetItem(line, field switch
        {
            RateField.From => rate with { From = text },
            RateField.To => rate with { To = text },
            RateField.Rate => rate with { Rate = text },
            _ => rate with { TakenOn = text },
        }));
    }

    /// <summary>Takes the machines of a file in; <see cref="UndoImport"/> undoes it.</summary>
    /// <param name="import">The machines.</param>
    /// <param name="replace">True to put them in the place of those here, with the day of the file's prices; false to add them.</param>
    /// <param name="file">What the file is called.</param>
    public void Take(CatalogueImport import, bool replace, string file)
    {
        string count = import.Machines.Length == 1 ? "one machine" : FormattableString.Invariant($"{import.Machines.Length:#,0} machines");
        string words = replace
            ? FormattableString.Invariant($"Replaced the list ({_rows.Count:#,0} before) with {count} from {file}.")
            : $"Added {count} from {file}.";
        _beforeImport = new BeforeImport([.. _rows], Head, words);
        if (replace)
        {
            _rows.Clear();
            _deleted.Clear();
            Head = Head with
            {
                PricesOf = import.PricesOf.Length > 0 ? import.PricesOf : Head.PricesOf,
                PricesAreInvented = import.PricesAreInvented ?? Head.PricesAreInvented,
                Rates = import.Rates,
            };
        }
        else
        {
            Head = Head with { Rates = [.. Head.Rates, .. import.Rates.Where(rate => !Head.Rates.Any(other => other.ReadsAs(rate)))] };
        }

        foreach (MachineDraft machine in import.Machines)
        {
            // A machine it makes must not stand under a name another has here; its row then asks for one of its own.
            MachineDraft draft = machine.Kept is { } kept && _rows.Exists(row => IsCalled(row, kept.Name)) ? machine with { Kept = null } : machine;
            _rows.Add(new SheetRow(++_lastKey, draft, null));
        }

        Reading = Read();
        Settle();
    }

    /// <summary>Puts the list back as it was before the last import. What was typed since goes with what came in.</summary>
    public void UndoImport()
    {
        if (_beforeImport is not { } before)
            return;
        _rows.Clear();
        _rows.AddRange(before.Rows);
        (Head, _beforeImport) = (before.Head, null);
        Reading = Read();
    }

    /// <summary>Gives up the way back.</summary>
    public void ForgetImport() => _beforeImport = null;

    private void Change(int key, Func<MachineDraft, MachineDraft> change)
    {
        int index = IndexOf(key);
        if (index < 0)
            return;
        _rows[index] = _rows[index] with { Draft = change(_rows[index].Draft) };
        Reading = Read();
    }

    private void TakeRates(ImmutableArray<RateDraft> rates)
    {
        Head = Head with { Rates = rates };
        Reading = Read();
    }

    private bool IsBlank(RateProblem rate)
    {
        RateDraft line = Head.Rates[rate.Line];
        return string.IsNullOrWhiteSpace(rate.Field switch { RateField.From => line.From, RateField.To => line.To, RateField.Rate => line.Rate, _ => line.TakenOn });
    }

    private IEnumerable<IGrouping<string, PurchaseOption>> Currencies() =>
        Reading.Catalogue.Machines.SelectMany(machine => machine.Purchase).GroupBy(option => option.Currency).OrderByDescending(same => same.Count());

    private string? MainCurrency() => Currencies().FirstOrDefault()?.Key;

    private string? ForeignCurrency() =>
        Currencies().Skip(1).FirstOrDefault(other => Reading.Catalogue.RateFor(other.Key, MainCurrency()!) is null)?.Key;

    private sealed record BeforeImport(ImmutableArray<SheetRow> Rows, CatalogueDraft Head, string Words);
}
