namespace Capacityplan.Core.Machines;

/// <summary>A conversion rate as the catalogue's owner typed it.</summary>
public sealed record RateDraft
{
    /// <summary>ISO 4217 code of the currency that is converted, as "USD".</summary>
    public string From { get; init; } = "";

    /// <summary>ISO 4217 code of the currency it is converted into, as "EUR".</summary>
    public string To { get; init; } = "";

    /// <summary>Units of <see cref="To"/> for one unit of <see cref="From"/>, as "0.92".</summary>
    public string Rate { get; init; } = "";

    /// <summary>The day the rate was taken, as "3 Nov 2026".</summary>
    public string TakenOn { get; init; } = "";

    /// <summary>The rate these texts last made; it stands while they make none. Null for a line that never made one.</summary>
    public CurrencyRate? Kept { get; init; }

    /// <summary>The texts that make a rate.</summary>
    public static RateDraft Of(CurrencyRate rate) => new()
    {
        From = rate.From,
        To = rate.To,
        Rate = PurchaseDraft.Write(rate.Rate),
        TakenOn = CatalogueDraft.WriteDay(rate.TakenOn),
        Kept = rate,
    };

    /// <summary>True where every blank of the two holds the same text.</summary>
    public bool ReadsAs(RateDraft other) => (this with { Kept = null }).Equals(other with { Kept = null });
}
