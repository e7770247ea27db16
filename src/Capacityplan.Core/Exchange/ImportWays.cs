using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Exchange;

/// <summary>The ways to pay that a row of a file says: the one its kind names, else one for each price it has.</summary>
internal static class ImportWays
{
    /// <summary>The ways a row says.</summary>
    /// <param name="row">The row.</param>
    /// <param name="kind">The kind it names; null where it names none that is known.</param>
    /// <param name="currency">Currency of amounts that name none; may be blank.</param>
    public static IEnumerable<PurchaseDraft> Of(ImportRow row, string? kind, string currency)
    {
        string named = row[MachineField.Kind];
        IEnumerable<string> kinds = kind is not null ? [kind] : named.Length > 0 ? [named] : Implied(row);
        foreach (string one in kinds)
        {
            var way = new PurchaseDraft { Kind = one };
            foreach (MachineField field in PurchaseDraft.FieldsOf(one))
                way = way.With(field, row[field]);
            // What a kind is not known for is kept, for when its owner chooses one.
            if (!PurchaseDraft.Kinds.Contains(one))
                way = PurchaseDraft.Kinds.SelectMany(known => PurchaseDraft.FieldsOf(known)).Distinct().Aggregate(way, (kept, field) => kept.With(field, row[field]));
            if (way.Currency.Length == 0)
                way = way with { Currency = row.ImpliedCurrency ?? currency };
            yield return way;
        }
    }

    private static IEnumerable<string> Implied(ImportRow row)
    {
        if (row.Has(MachineField.PricePerHour))
            yield return row.Has(MachineField.InterruptionsPerHour) ? InterruptiblePurchase.KindName : MeteredPurchase.KindName;
        if (row.Has(MachineField.PricePerMonth))
            yield return TermPurchase.KindName;
        if (row.Has(MachineField.PurchasePrice))
            yield return OwnedPurchase.KindName;
    }
}
