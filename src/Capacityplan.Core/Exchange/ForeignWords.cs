using System.Collections.Frozen;
using System.Collections.Immutable;

namespace Capacityplan.Core.Exchange;

/// <summary>German and French words of headings, in the words of <see cref="HeadingTokens"/>; a compound is as many as it is made of. The trade's
/// own words, from memory; common practice, no source.</summary>
internal static class ForeignWords
{
    // "Mo" stays a month, "to" a direction and "an" an article, as in English; whoever means another unit chooses it.
    private static readonly FrozenDictionary<string, ImmutableArray<string>> s_words = new (string Words, string Foreign)[]
    {
        ("", "pro je der die das den dem des und zum zur für fuer le la les un une du de d l par et pour à passante"),
        ("machine", "maschine maschinen rechner"), ("name", "nom bezeichnung"), ("server", "serveur serveurs"), ("node", "knoten noeud nœud"),
        ("type", "typ"), ("model", "modell modèle modele"),
        ("hardware", "matériel materiel matériels materiels"), ("physical", "physisch physische physikalisch physikalische physique physiques"),
        ("logical", "logisch logische logique logiques"), ("virtual", "virtuell virtuelle virtuelles virtuel virtuels"),
        ("core", "kern kerne kernen rechenkern rechenkerne cœur cœurs coeur coeurs"), ("processor", "prozessor prozessoren processeur processeurs"),
        ("core count", "kernzahl kernanzahl"), ("count", "anzahl zahl nombre"),
        ("memory", "speicher arbeitsspeicher hauptspeicher mémoire memoire"), ("memory bandwidth", "speicherbandbreite"), ("bandwidth", "bandbreite bande débit debit"),
        ("gb", "go"), ("gib", "gio"), ("tib", "tio"), ("mib", "mio"),
        ("speed", "geschwindigkeit vitesse"), ("core speed", "kerngeschwindigkeit"), ("relative", "relativ relatif"),
        ("startup", "startzeit startdauer anlaufzeit anlaufdauer démarrage demarrage"), ("time", "zeit dauer temps"),
        ("price", "preis preise kosten tarif tarife prix coût cout coûts couts"), ("price hour", "stundenpreis stundensatz stundentarif"),
        ("price minute", "minutenpreis"), ("price day", "tagespreis tagessatz"), ("price month", "monatspreis monatsrate"), ("price year", "jahrespreis"),
        ("hour", "stunde stunden stündlich stuendlich heure heures horaire"), ("minute", "minuten"), ("second", "sekunde sekunden seconde secondes"),
        ("day", "tag tage tagen täglich taeglich jour jours journalier"), ("week", "woche wochen semaine semaines"),
        ("month", "monat monate monaten monatlich mois mensuel mensuelle"), ("year", "jahr jahre jahren jährlich jaehrlich année annee années annees annuel annuelle"),
        ("currency", "währung waehrung devise monnaie"),
        ("payment", "zahlungsart zahlweise zahlungsweise bezahlart abrechnungsart paiement règlement reglement"),
        ("billing", "abrechnung facturation"), ("billed", "abgerechnet facturé facture facturée"), ("step", "schritt pas"),
        ("billing step", "abrechnungsschritt abrechnungstakt taktung"), ("minimum", "mindestdauer mindestens minimal minimale mindestabrechnung"),
        ("term", "laufzeit mietdauer"), ("contract length", "vertragslaufzeit vertragsdauer"), ("length", "durée duree"), ("contract", "vertrag contrat"),
        ("commitment", "bindung engagement"), ("down payment", "anzahlung acompte"), ("upfront", "einmalzahlung einmalpreis"),
        ("interruption", "unterbrechung unterbrechungen"), ("restart", "neustart wiederanlauf redémarrage redemarrage"), ("checkpoint", "sicherungspunkt"),
        ("purchase price", "kaufpreis anschaffungspreis anschaffungskosten"), ("purchase", "kauf anschaffung achat"),
        ("lifetime", "nutzungsdauer lebensdauer"), ("life", "vie"), ("depreciation", "abschreibung amortissement"),
        ("power", "leistung leistungsaufnahme puissance"), ("electricity price", "strompreis stromkosten"), ("electricity", "strom électricité electricite"),
        ("energy", "energie énergie"), ("cooling factor", "kühlfaktor kuehlfaktor"),
        ("licence", "lizenz lizenzen"), ("licence price", "lizenzkosten lizenzpreis"),
        ("catalogue", "katalog"), ("list", "liste"), ("date", "datum"), ("price dated", "preisstand"),
    }.SelectMany(pair => pair.Foreign.Split(' '), (pair, word) => (word, ImmutableArray.Create(pair.Words.Split(' ', StringSplitOptions.RemoveEmptyEntries))))
        .ToFrozenDictionary(pair => pair.word, pair => pair.Item2, StringComparer.OrdinalIgnoreCase);

    /// <summary>The words of a foreign one, none for one that says nothing; null where it is not known.</summary>
    public static ImmutableArray<string>? Find(string word) => s_words.TryGetValue(word, out ImmutableArray<string> words) ? words : null;
}
