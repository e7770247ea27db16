using System.Collections.Immutable;

namespace Capacityplan.Core.Exchange;

/// <summary>What a bare number of a column counts.</summary>
/// <param name="Words">As shown: "GB", "a day".</param>
/// <param name="Factor">What a number is multiplied by to count what the catalogue counts; above 0.</param>
/// <param name="Suffix">What is written after the number instead, where the catalogue's own reader knows the unit.</param>
/// <param name="Signs">Words of a heading that mean it, as <see cref="HeadingTokens"/> has them; all of one entry have to be there.</param>
public sealed record ColumnUnit(string Words, decimal Factor, string Suffix, params string[] Signs)
{
    internal static readonly ImmutableArray<ColumnUnit> Memory =
    [
        new("GiB", 1, ""), new("GB", 1, " GB", "gb"), new("MiB", 1, " MiB", "mib"), new("MB", 1, " MB", "mb"), new("TiB", 1, " TiB", "tib"), new("TB", 1, " TB", "tb"),
    ];

    internal static readonly ImmutableArray<ColumnUnit> Bandwidth =
        [new("GB/s", 1, ""), new("GiB/s", 1.073741824m, "", "gib"), new("MB/s", 0.001m, "", "mb"), new("TB/s", 1000, "", "tb")];

    internal static readonly ImmutableArray<ColumnUnit> Time =
        [new("s", 1, ""), new("min", 1, " min", "minute"), new("h", 1, " h", "hour"), new("ms", 1, " ms", "ms")];

    internal static readonly ImmutableArray<ColumnUnit> AnHour =
        [new("an hour", 1, ""), new("a minute", 60, "", "minute"), new("a second", 3600, "", "second"), new("a day", 1 / 24m, "", "day")];

    internal static readonly ImmutableArray<ColumnUnit> AMonth =
        [new("a month", 1, ""), new("a year", 1 / 12m, "", "year"), new("an hour, all of them paid", Machines.PurchaseOption.AlwaysOnHours, "", "allhours")];

    internal static readonly ImmutableArray<ColumnUnit> AMonthOrYear = [new("a month", 1, ""), new("a year", 1 / 12m, "", "year")];

    internal static readonly ImmutableArray<ColumnUnit> Months = [new("months", 1, ""), new("years", 12, "", "year")];

    internal static readonly ImmutableArray<ColumnUnit> Interruptions =
        [new("an hour", 1, ""), new("a day", 1 / 24m, "", "day"), new("a month", 1m / Machines.PurchaseOption.AlwaysOnHours, "", "month")];

    internal static readonly ImmutableArray<ColumnUnit> Power = [new("W", 1, ""), new("kW", 1000, "", "kw")];

    internal static readonly ImmutableArray<ColumnUnit> Energy = [new("a kWh", 1, ""), new("a MWh", 0.001m, "", "mwh")];

    internal static readonly ImmutableArray<ColumnUnit> HoursOn = [new("a month", 1, ""), new("a day", 365 / 12m, "", "day"), new("a week", 365 / 84m, "", "week")];

    internal static readonly ImmutableArray<ColumnUnit> Speed = [new("of the reference core", 1, ""), new("% of the reference core", 0.01m, "", "percent")];
}
