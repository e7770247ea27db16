using System.Collections.Frozen;
using System.Collections.Immutable;
using System.Text;
using System.Text.RegularExpressions;

namespace Capacityplan.Core.Exchange;

/// <summary>A heading taken apart into words in one spelling: "Price (EUR/h)" is price, hour, and the currency EUR.</summary>
internal sealed partial class HeadingTokens
{
    // The trade's words and their other spellings; common practice, no source.
    private static readonly FrozenDictionary<string, string> s_same = new (string Word, string Others)[]
    {
        ("hour", "h hr hourly"), ("month", "mo mon monthly"), ("year", "yr yearly annual annually"), ("day", "daily"), ("second", "sec"),
        ("memory", "ram mem"), ("price", "cost charge tariff fee"), ("licence", "license licensing"), ("catalogue", "catalog"),
        ("thread", "vcpu cpu"), ("kw", "kilowatt"), ("watt", "w"), ("kwh", "kilowatthour"), ("count", "qty number"),
        ("currency", "curr ccy"), ("interruption", "interrupt interrupted"), ("startup", "boot"), ("gb", "gbp"),
    }.SelectMany(same => same.Others.Split(' '), (same, other) => (other, same.Word)).ToFrozenDictionary(pair => pair.other, pair => pair.Word);

    private static readonly FrozenSet<string> s_fillers = new[] { "a", "an", "the", "per", "in", "of", "for", "each", "and", "is", "it", "by", "no" }.ToFrozenSet();

    private static readonly FrozenSet<string> s_units =
        "gb gib mb mib tb tib ms second minute hour day week month year watt kw kwh mwh percent thread core count".Split(' ').ToFrozenSet();

    /// <summary>ISO 4217 codes that are found in headings and beside prices.</summary>
    private static readonly FrozenSet<string> s_currencies =
        ("EUR USD GBP CHF JPY CNY SEK NOK DKK PLN CZK HUF RON BGN ISK TRY INR AUD NZD CAD SGD HKD KRW TWD BRL MXN ZAR ILS AED SAR THB MYR IDR PHP VND "
            + "CLP COP PEN ARS UYU UAH EGP NGN KES MAD TND QAR KWD BHD OMR JOD PKR BDT LKR KZT GEL RSD MKD ALL BAM MDL").Split(' ').ToFrozenSet();

    private HeadingTokens(ImmutableArray<string> words, string? currency) => (Words, Currency) = (words, currency);

    /// <summary>The words, each once.</summary>
    public ImmutableArray<string> Words { get; }

    /// <summary>The currency it names; null for none.</summary>
    public string? Currency { get; }

    /// <summary>True where it holds units, or a currency, and nothing else.</summary>
    public bool IsOfUnits => (Currency is not null || Words.Length > 0) && Words.All(s_units.Contains);

    /// <summary>True for an ISO 4217 code in capital letters.</summary>
    public static bool IsCurrency(string text) => s_currencies.Contains(text);

    /// <summary>The currency a sign stands for; null for a sign of none. The dollar is taken for that of the United States.</summary>
    public static string? CurrencyOf(char sign) => sign switch { '€' => "EUR", '£' => "GBP", '$' => "USD", '¥' => "JPY", '₹' => "INR", _ => null };

    /// <summary>Takes a text apart.</summary>
    public static HeadingTokens Of(string text)
    {
        string? currency = null;
        var words = new List<string>();
        foreach (string raw in Split(MixedUnit().Replace(text, unit => $" {unit.Value.ToLowerInvariant()} ")))
        {
            if (raw.Length == 1 && CurrencyOf(raw[0]) is { } signed)
                currency ??= signed;
            else if (IsCurrency(raw))
                currency ??= raw;
            else
                words.AddRange(Plain(raw).Where(word => !words.Contains(word)));
        }

        // "min" is a time in "start-up (min)" and "price/min", the least in "min billed".
        int min = words.IndexOf("min");
        if (min >= 0)
            words[min] = min == 0 ? "minimum" : "minute";
        return new HeadingTokens([.. words], currency);
    }

    /// <summary>Units in letters of both sizes, which would part within.</summary>
    [GeneratedRegex("[KMGT]iB|[kM]Wh|kW|GBps|vCPU")]
    private static partial Regex MixedUnit();

    private static ImmutableArray<string> Plain(string raw)
    {
        string lower = raw.ToLowerInvariant();
        if (lower == "s")
            return ["second"];
        if (ForeignWords.Find(lower) is { } foreign)
            return foreign;
        if (lower.Length > 3 && lower.EndsWith('s') && !lower.EndsWith("ss", StringComparison.Ordinal))
            lower = lower[..^1];
        return s_fillers.Contains(lower) ? [] : [s_same.GetValueOrDefault(lower, lower)];
    }

    /// <summary>Words, signs of currencies and %, parted also where a small letter meets a capital one.</summary>
    private static IEnumerable<string> Split(string text)
    {
        var word = new StringBuilder();
        for (int at = 0; at < text.Length; at++)
        {
            char letter = text[at];
            bool isOwn = CurrencyOf(letter) is not null || letter == '%';
            bool parts = !char.IsLetter(letter) || (word.Length > 0 && char.IsUpper(letter) && char.IsLower(text[at - 1]));
            if ((parts || isOwn) && word.Length > 0)
            {
                yield return word.ToString();
                word.Clear();
            }

            if (letter == '%')
                yield return "percent";
            else if (isOwn)
                yield return letter.ToString();
            else if (char.IsLetter(letter))
                word.Append(letter);
        }

        if (word.Length > 0)
            yield return word.ToString();
    }
}
