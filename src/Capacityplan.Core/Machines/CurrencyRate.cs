namespace Capacityplan.Core.Machines;

/// <summary>A conversion the catalogue's owner entered: one unit of a currency in another. It holds both ways.</summary>
public sealed record CurrencyRate
{
    /// <summary>ISO 4217 code of the currency that is converted.</summary>
    public required string From { get; init => field = Code(value, nameof(From)); }

    /// <summary>ISO 4217 code of the currency it is converted into.</summary>
    public required string To { get; init => field = Code(value, nameof(To)); }

    /// <summary>The largest rate, and one over it the least.</summary>
    public const decimal MostRate = 1_000_000;

    /// <summary>Units of <see cref="To"/> for one unit of <see cref="From"/>; from 1 / <see cref="MostRate"/> to <see cref="MostRate"/>.</summary>
    public required decimal Rate
    {
        get;
        init => field = value is >= 1 / MostRate and <= MostRate
            ? value
            : throw new ArgumentOutOfRangeException(nameof(Rate), value, FormattableString.Invariant($"A rate has to be from {1 / MostRate} to {MostRate:#,0}."));
    }

    /// <summary>The day the rate was taken.</summary>
    public required DateOnly TakenOn { get; init; }

    private static string Code(string value, string name) => value is { Length: 3 } && value.All(char.IsAsciiLetterUpper)
        ? value
        : throw new ArgumentException($"'{value}' is not a currency code of three capital letters (ISO 4217), such as EUR.", name);
}
