using System.Globalization;

namespace Capacityplan.Web.Components.Plans;

/// <summary>When something was saved, in the fewest words that tell: "today 21:14", "yesterday 20:51", "Sunday", "12 Nov",
/// "2 Sep 2025".</summary>
public static class SavedWhen
{
    /// <summary>The words.</summary>
    /// <param name="saved">When it was saved, on the reader's clock.</param>
    /// <param name="now">The moment it is, on the same clock.</param>
    public static string Words(DateTimeOffset saved, DateTimeOffset now) => (now.Date - saved.Date).Days switch
    {
        <= 0 => saved.ToString("'today' HH:mm", CultureInfo.InvariantCulture),
        1 => saved.ToString("'yesterday' HH:mm", CultureInfo.InvariantCulture),
        < 7 => saved.ToString("dddd", CultureInfo.InvariantCulture),
        _ when saved.Year == now.Year => saved.ToString("d MMM", CultureInfo.InvariantCulture),
        _ => saved.ToString("d MMM yyyy", CultureInfo.InvariantCulture),
    };
}
