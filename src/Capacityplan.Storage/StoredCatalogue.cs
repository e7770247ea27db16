using System.Diagnostics.CodeAnalysis;
using Capacityplan.Core.Machines;

namespace Capacityplan.Storage;

/// <summary>A machine catalogue as it is stored.</summary>
public sealed record StoredCatalogue
{
    /// <summary>Its key.</summary>
    public required Guid Id { get; init; }

    /// <summary>Its name, known even where the catalogue cannot be read.</summary>
    public required string Name { get; init; }

    /// <summary>The catalogue; null where the stored text cannot be read.</summary>
    public required Catalogue? Catalogue { get; init; }

    /// <summary>What its owner typed where a part of it cannot be understood yet; null where the catalogue says it all.</summary>
    public required CatalogueDraft? Draft { get; init; }

    /// <summary>The stored text and why it cannot be read; null where it can. Beside a catalogue: what its owner typed, which
    /// a save from here would lose.</summary>
    public required Unreadable? Unreadable { get; init; }

    /// <summary>Version, from 1; every save makes it one larger.</summary>
    public required int Version { get; init; }

    /// <summary>When it was last saved, UTC.</summary>
    public required DateTimeOffset UpdatedAt { get; init; }

    /// <summary>True for the catalogue that plans without one of their own are priced with.</summary>
    public required bool IsDefault { get; init; }

    /// <summary>True where the catalogue can be read.</summary>
    [MemberNotNullWhen(true, nameof(Catalogue))]
    [MemberNotNullWhen(false, nameof(Unreadable))]
    public bool IsReadable => Catalogue is not null;
}
