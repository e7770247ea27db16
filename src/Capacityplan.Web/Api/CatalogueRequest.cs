using System.ComponentModel;
using System.ComponentModel.DataAnnotations;

namespace Capacityplan.Web.Api;

/// <summary>A catalogue, in the shape it is got in.</summary>
public sealed record CatalogueRequest
{
    /// <summary>Its name.</summary>
    [Required]
    [MaxLength(200)]
    public string? Name { get; init; }

    /// <summary>The day the prices were taken, such as 2026-11-03; the default is that it is not known.</summary>
    [RegularExpression("^[0-9]{4}-[0-9]{2}-[0-9]{2}$", ErrorMessage = "it has to be a day such as 2026-11-03")]
    public string? PricesOf { get; init; }

    /// <summary>True where the prices are invented, which pages say beside them.</summary>
    [DefaultValue(false)]
    public bool? PricesAreInvented { get; init; }

    /// <summary>The machines, their names all different.</summary>
    [Required]
    [MaxLength(2_000)]
    public IReadOnlyList<MachineRequest?>? Machines { get; init; }

    /// <summary>Conversion rates between currencies; of two for one pair the later counts.</summary>
    [MaxLength(200)]
    public IReadOnlyList<RateRequest?>? Rates { get; init; }
}

/// <summary>A catalogue in the list.</summary>
/// <param name="Id">Its key, the last part of its address.</param>
/// <param name="Etag">Its entity tag, for If-Match.</param>
/// <param name="Name">Its name.</param>
/// <param name="Machines">How many machines it has; null where it cannot be read.</param>
/// <param name="IsDefault">True for the one that plans without one of their own are priced with.</param>
/// <param name="UpdatedAt">When it was last saved.</param>
public sealed record CatalogueEntry(Guid Id, string Etag, string Name, int? Machines, bool IsDefault, DateTimeOffset UpdatedAt);

/// <summary>What was saved.</summary>
/// <param name="Id">Its key.</param>
/// <param name="Etag">Its entity tag now.</param>
/// <param name="Problems">What was left out or doubted.</param>
public sealed record SavedAnswer(Guid Id, string Etag, IReadOnlyList<ProblemAnswer> Problems);
