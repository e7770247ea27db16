namespace Capacityplan.Core.Exchange;

/// <summary>The words this program's own files use where the HTTP API has no name of a field.</summary>
internal static class ImportWords
{
    /// <summary>What the kind column says of a row that holds a conversion rate and no machine.</summary>
    public const string RateKind = "conversion rate";

    public const string CatalogueHead = "catalogue";
    public const string PricesOfHead = "prices dated";
    public const string InventedHead = "prices invented";
    public const string ConvertedIntoHead = "converted into";
    public const string RateHead = "conversion rate";
    public const string RateTakenOnHead = "rate taken on";
}
