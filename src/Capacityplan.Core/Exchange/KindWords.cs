using System.Collections.Frozen;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Exchange;

/// <summary>Words for the kinds of ways to pay, as they stand in English, German and French files.</summary>
internal static class KindWords
{
    private static readonly FrozenDictionary<string, string> s_kinds = new (string Kind, string Words)[]
    {
        (MeteredPurchase.KindName, "metered|by the time used|by time|time used|hourly|by the hour|per hour|by use|pay per use|stundenweise|nach zeit|nach nutzung|stündlich|à l'heure|à l’heure|à l'usage|à l’usage"),
        (PurchaseDraft.AlwaysOnKind, "alwayson|always on|never switched off|all hours|dauerbetrieb|immer an|en continu|toujours allumée"),
        (TermPurchase.KindName, "term|for a term|by the month|monthly|contract|rented|rent|lease|leased|miete|gemietet|vertrag|auf zeit|location|louée|contrat|mensuel"),
        (InterruptiblePurchase.KindName, "interruptible|interruptable|may be taken back|can be taken back|unterbrechbar"),
        (OwnedPurchase.KindName, "owned|own|bought|purchased|our own|gekauft|eigen|eigentum|achetée|propriété"),
        (ImportWords.RateKind, ImportWords.RateKind),
    }.SelectMany(kind => kind.Words.Split('|'), (kind, word) => (word, kind.Kind)).ToFrozenDictionary(pair => pair.word, pair => pair.Kind, StringComparer.OrdinalIgnoreCase);

    /// <summary>The kind a text names; null where it names none.</summary>
    public static string? Find(string text) =>
        s_kinds.GetValueOrDefault(string.Join(' ', text.Split([' ', '-', '_'], StringSplitOptions.RemoveEmptyEntries)));
}
