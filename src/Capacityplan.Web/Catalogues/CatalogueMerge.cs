using System.Collections.Immutable;
using Capacityplan.Core.Machines;

namespace Capacityplan.Web.Catalogues;

/// <summary>
/// A sheet brought together with what somebody else stored since it was. Cell by cell: what was typed here stands, all else
/// is theirs. Nothing typed by either is lost: a row that one deleted and the other changed stays, and where both typed in
/// one cell their text is told.
/// </summary>
internal sealed class CatalogueMerge
{
    private readonly List<(MachineDraft Draft, MachineDraft? Stored, int? Key)> _rows = [];
    private readonly ImmutableArray<string>.Builder _clashes = ImmutableArray.CreateBuilder<string>();

    private CatalogueMerge(CatalogueDraft head) => Head = head;

    /// <summary>What is above the rows.</summary>
    public CatalogueDraft Head { get; private set; }

    /// <summary>The rows, what is stored of each, and the key of those that were on the sheet.</summary>
    public IReadOnlyList<(MachineDraft Draft, MachineDraft? Stored, int? Key)> Rows => _rows;

    /// <summary>Where both had typed, in words.</summary>
    public ImmutableArray<string> Clashes => _clashes.ToImmutable();

    /// <summary>Brings the two together.</summary>
    public static CatalogueMerge Of(CatalogueSheet mine, CatalogueDraft theirs)
    {
        var merge = new CatalogueMerge(theirs);
        merge.MergeHead(mine.Head, mine.StoredHead, theirs);

        // A row is known again by the name it was stored under; one they renamed is theirs anew.
        List<MachineDraft> unmatched = [.. theirs.Machines];
        foreach (SheetRow row in mine.Rows)
        {
            MachineDraft? match = row.Stored is { } stored ? unmatched.Find(their => NameOf(their) == NameOf(stored)) : null;
            if (match is not null)
            {
                unmatched.Remove(match);
                merge._rows.Add((merge.MergeRow(row.Draft, row.Stored!, match), match, row.Key));
            }
            else if (row.Stored is null || !row.Draft.ReadsAs(row.Stored))
            {
                merge._rows.Add((row.Draft, null, row.Key));
            }
        }

        foreach (MachineDraft their in unmatched)
        {
            bool isDeletedHere = mine.DeletedStored.Any(row => NameOf(row.Stored!) == NameOf(their) && row.Stored!.ReadsAs(their));
            if (!isDeletedHere)
                merge._rows.Add((their, their, null));
        }

        return merge;
    }

    private static string NameOf(MachineDraft draft) => (draft.Kept?.Name ?? draft.Name).Trim().ToUpperInvariant();

    private void MergeHead(CatalogueDraft mine, CatalogueDraft stored, CatalogueDraft theirs) => Head = theirs with
    {
        Name = Merged("the catalogue's name", mine.Name, stored.Name, theirs.Name),
        PricesOf = Merged("the day of the prices", mine.PricesOf, stored.PricesOf, theirs.PricesOf),
        Rates = MergedRates(mine.Rates, stored.Rates, theirs.Rates),
        PricesAreInvented = mine.PricesAreInvented != stored.PricesAreInvented ? mine.PricesAreInvented : theirs.PricesAreInvented,
    };

    private MachineDraft MergeRow(MachineDraft mine, MachineDraft stored, MachineDraft theirs)
    {
        MachineDraft merged = theirs;
        foreach (MachineField field in MachineDraft.Fields)
            merged = merged.With(field, Merged($"{theirs.Name}, {FieldWords.Of(field)}", mine[field], stored[field], theirs[field]));
        // Ways to pay are added and removed, so that theirs and mine cannot be told apart blank by blank.
        bool areMine = !mine.Further.SequenceEqual(stored.Further);
        if (areMine && !theirs.Further.SequenceEqual(stored.Further) && !theirs.Further.SequenceEqual(mine.Further))
            _clashes.Add($"{theirs.Name}, further ways to pay: yours stand; theirs were {WaysIn(theirs)}.");
        return areMine ? merged with { Further = mine.Further } : merged;
    }

    private string Merged(string cell, string mine, string stored, string theirs)
    {
        if (mine == stored || mine == theirs)
            return theirs;
        if (theirs != stored)
            _clashes.Add($"{cell}: yours, {Quoted(mine)}, stands; theirs is {Quoted(theirs)}.");
        return mine;
    }

    private ImmutableArray<RateDraft> MergedRates(ImmutableArray<RateDraft> mine, ImmutableArray<RateDraft> stored, ImmutableArray<RateDraft> theirs)
    {
        if (mine.SequenceEqual(stored) || mine.SequenceEqual(theirs))
            return theirs;
        if (!theirs.SequenceEqual(stored))
            _clashes.Add($"conversion rates: yours stand; theirs were {(theirs.IsEmpty ? "none" : string.Join("; ", theirs.Select(rate => $"1 {rate.From} = {rate.Rate} {rate.To} of {rate.TakenOn}")))}.");
        return mine;
    }

    private static string WaysIn(MachineDraft draft) =>
        draft.Further.IsEmpty ? "none" : string.Join("; ", draft.Further.Select(way => $"{WayWords.Kind(way.Kind)} ({string.Join(", ", PurchaseDraft.FieldsOf(way.Kind).Select(field => way[field]).Where(text => text.Length > 0))})"));

    private static string Quoted(string text) => string.IsNullOrWhiteSpace(text) ? "blank" : $"“{text.Trim()}”";
}
