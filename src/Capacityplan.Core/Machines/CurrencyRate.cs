namespace Capacityplan.Core.Machines;

/// <summary>A conversion the catalogue's owner entered: one unit of a currency in another. It holds both ways.</summary>
public sealed record CurrencyRate
{
    /// <summary>ISO 4217 code of the currency that is converted.</summary>
    public required string From { get; init => field = Code(value, nameof(From)); }

    /// <summary>ISO 4217 code of the currency it is converted into.</summary>
    public required string To { get; init => field = Code(value, nameof(To)); }

    /// <summary>Units of <see cref="To"/> for one unit of <see cref="From"/>; above 0.</summary>
    public required decimal Rate
    {
        get;
        init => field = value > 0 ? value : throw new ArgumentOutOfRangeException(nameof(Rate), value, "A rate has to be above 0.");
    }

    /// <summary>The day the rate was taken.</summary>
    public required DateOnly TakenOn { get; init; }

    private static string Code(string value, string name) => value is { Length: 3 } && value.All(char.IsAsciiLetterUpper)
        ? value
        : throw new ArgumentException($"'{value}' is not a currency code of three capital letters (ISO 4217), such as EUR.", name);
}
