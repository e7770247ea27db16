using System.Collections.Frozen;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Exchange;

/// <summary>Words for the kinds of ways to pay, as they stand in files.</summary>
internal static class KindWords
{
    private static readonly FrozenDictionary<string, string> s_kinds = new (string Kind, string Words)[]
    {
        (MeteredPurchase.KindName, "metered|by the time used|by time|time used|hourly|by the hour|per hour|by use|pay per use"),
        (PurchaseDraft.AlwaysOnKind, "alwayson|always on|never switched off|all hours"),
        (TermPurchase.KindName, "term|for a term|by the month|monthly|contract|rented|rent|lease|leased"),
        (InterruptiblePurchase.KindName, "interruptible|interruptable|may be taken back|can be taken back"),
        (OwnedPurchase.KindName, "owned|own|bought|purchased|our own"),
        (ImportWords.RateKind, ImportWords.RateKind),
    }.SelectMany(kind => kind.Words.Split('|'), (kind, word) => (word, kind.Kind)).ToFrozenDictionary(pair => pair.word, pair => pair.Kind, StringComparer.OrdinalIgnoreCase);

    /// <summary>The kind a text names; null where it names none.</summary>
    public static string? Find(string text) =>
        s_kinds.GetValueOrDefault(string.Join(' ', text.Split([' ', '-', '_'], StringSplitOptions.RemoveEmptyEntries)));
}
