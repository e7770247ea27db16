using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Catalogues;

/// <summary>What is said of prices that have to be checked.</summary>
public static class PriceAgeWords
{
    /// <summary>"Prices are 14 months old."; null where they are fresh, or there are none.</summary>
    /// <param name="catalogue">The catalogue.</param>
    /// <param name="today">The day it is.</param>
    public static string? Of(Catalogue catalogue, DateOnly today) => catalogue.PricesAreStale(today)
        ? catalogue.PriceAgeMonths(today) is { } months ? $"Prices are {Figures.Count(months)} months old." : "Prices are of an unknown day."
        : null;

    /// <summary>"prices of Sep 2025", beside the state.</summary>
    /// <param name="catalogue">The catalogue.</param>
    public static string Note(Catalogue catalogue) =>
        catalogue.PricesOf is { } day ? $"prices of {day.ToString("MMM yyyy", System.Globalization.CultureInfo.InvariantCulture)}" : "the prices have no day";
}
