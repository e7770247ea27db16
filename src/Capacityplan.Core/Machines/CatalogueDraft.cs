using System.Collections.Immutable;
using System.Globalization;

namespace Capacityplan.Core.Machines;

/// <summary>
/// A catalogue as its owner typed it, so that nothing typed is lost while a part of it cannot be understood.
/// </summary>
public sealed record CatalogueDraft
{
    private readonly Sequence<RateDraft> _rates;

    /// <summary>Its name.</summary>
    public string Name { get; init; } = "";

    /// <summary>The name that stands while <see cref="Name"/> cannot; not blank.</summary>
    public required string KeptName { get; init => field = Require.NotBlank(value, nameof(KeptName)); }

    /// <summary>The day the prices were taken, as "3 Nov 2026"; blank where not known.</summary>
    public string PricesOf { get; init; } = "";

    /// <summary>The day that stands while <see cref="PricesOf"/> cannot be understood.</summary>
    public DateOnly? KeptPricesOf { get; init; }

    /// <summary>True where the prices are invented.</summary>
    public bool PricesAreInvented { get; init; }

    /// <summary>The machines, in the order entered.</summary>
    public required ImmutableArray<MachineDraft> Machines { get; init; }

    /// <summary>The conversion rates, in the order entered.</summary>
    /// <exception cref="ArgumentException">One is null.</exception>
    public ImmutableArray<RateDraft> Rates
    {
        get => _rates.Items;
        init => _rates = value.IsDefault || !value.Any(rate => rate is null)
            ? new Sequence<RateDraft>(value)
            : throw new ArgumentException("A rate is null.", nameof(Rates));
    }

    /// <summary>The texts that make a catalogue.</summary>
    public static CatalogueDraft Of(Catalogue catalogue) => new()
    {
        Name = catalogue.Name,
        KeptName = catalogue.Name,
        PricesOf = catalogue.PricesOf is { } day ? WriteDay(day) : "",
        KeptPricesOf = catalogue.PricesOf,
        PricesAreInvented = catalogue.PricesAreInvented,
        Machines = [.. catalogue.Machines.Select(MachineDraft.Of)],
        Rates = [.. catalogue.Rates.Select(RateDraft.Of)],
    };

    /// <summary>A day as it is written beside prices: "3 Nov 2026".</summary>
    public static string WriteDay(DateOnly day) => day.ToString("d MMM yyyy", CultureInfo.InvariantCulture);
}
