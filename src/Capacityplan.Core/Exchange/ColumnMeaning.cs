using System.Collections.Immutable;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Exchange;

/// <summary>What a column of a file may mean.</summary>
public sealed record ColumnMeaning
{
    /// <summary>Not used.</summary>
    public static ColumnMeaning LeftOut { get; } = new() { Key = "", Words = "leave out" };

    internal static readonly ColumnMeaning Catalogue = new() { Key = "catalogue", Words = "name of the list", Phrases = ["catalogue", "catalogue name", "list"] };
    internal static readonly ColumnMeaning PricesOf = new() { Key = "pricesDated", Words = "day of the prices", Phrases = ["price dated", "price date", "date price", "price taken", "valid", "date"] };
    internal static readonly ColumnMeaning Invented = new() { Key = "pricesAreInvented", Words = "prices are invented", Phrases = ["price invented", "price are invented", "invented"] };
    internal static readonly ColumnMeaning ConvertedInto = new() { Key = "to", Words = "currency converted into", Phrases = ["converted into", "converted to", "convert to"] };
    internal static readonly ColumnMeaning Rate = new() { Key = "rate", Words = "conversion rate", Phrases = ["conversion rate", "exchange rate"] };
    internal static readonly ColumnMeaning RateTakenOn = new() { Key = "takenOn", Words = "day of the conversion rate", Phrases = ["rate taken on", "rate day", "rate date"] };

    /// <summary>The meanings to choose from, in the order offered.</summary>
    public static ImmutableArray<ColumnMeaning> All { get; } =
    [
        LeftOut,
        Of(MachineField.Name, "name", [], "machine", "name", "machine name", "machine type", "machine kind", "type", "model", "server", "node", "host"),
        Of(MachineField.HardwareThreads, "hardware threads", [], "hardware thread", "thread", "thread count", "logical core", "logical processor", "virtual core", "virtual thread"),
        Of(MachineField.PhysicalCores, "physical cores", [], "physical core", "core", "core count", "thread core"),
        Of(MachineField.RelativeCoreSpeed, "relative core speed", ColumnUnit.Speed, "relative core speed", "core speed", "relative speed", "speed", "speed factor"),
        Of(MachineField.Memory, "memory", ColumnUnit.Memory, "memory", "memory gib", "memory gb", "memory size"),
        Of(MachineField.MemoryBandwidth, "memory bandwidth", ColumnUnit.Bandwidth, "memory bandwidth", "bandwidth", "memory bandwidth gb"),
        Of(MachineField.StartUp, "start-up", ColumnUnit.Time, "start up", "startup", "startup time", "start up second", "start time"),
        Of(MachineField.Kind, "way to pay", [], "kind", "way to pay", "way pay", "purchase kind", "purchase", "payment", "how paid", "pricing", "pricing kind", "paid"),
        Of(MachineField.PricePerHour, "price an hour", ColumnUnit.AnHour, "price hour", "price", "price minute", "price second", "price day", "hour rate", "hour"),
        Of(MachineField.Currency, "currency", [], "currency", "price currency"),
        Of(MachineField.Increment, "billed by", ColumnUnit.Time, "billing increment", "billed", "increment", "increment second", "billing step", "step"),
        Of(MachineField.Minimum, "least billed", ColumnUnit.Time, "at least", "least billed", "minimum", "minimum billed", "minimum second"),
        Of(MachineField.PricePerMonth, "price a month", ColumnUnit.AMonth, "price month", "price year", "month rate", "price term"),
        Of(MachineField.TermMonths, "term", ColumnUnit.Months, "term", "month", "term month", "term year", "length", "contract length", "commitment"),
        Of(MachineField.Upfront, "paid at the start", [], "upfront", "up front", "paid at start", "price start", "upfront price", "down payment"),
        Of(MachineField.InterruptionsPerHour, "interruptions", ColumnUnit.Interruptions, "interruption", "interruption hour", "interruption rate"),
        Of(MachineField.Restart, "restart", ColumnUnit.Time, "restart", "restart time", "restart second"),
        Of(MachineField.Checkpoint, "checkpoint", ColumnUnit.Time, "checkpoint", "checkpoint time", "checkpoint second"),
        Of(MachineField.PurchasePrice, "price of the machine", [], "purchase price", "buying price", "price machine", "price buy", "price purchase", "capital price"),
        Of(MachineField.LifetimeMonths, "lifetime", ColumnUnit.Months, "lifetime", "lifetime month", "life", "length life", "useful life", "lifetime year", "depreciation", "years used"),
        Of(MachineField.Watts, "power", ColumnUnit.Power, "watt", "power", "power draw", "power watt", "power kw", "kw"),
        Of(MachineField.PricePerKilowattHour, "price of electricity", ColumnUnit.Energy, "price kw hour", "price kwh", "price mwh", "electricity price", "electricity", "energy price", "price electricity kwh"),
        Of(MachineField.OverheadFactor, "energy overhead", [], "overhead factor", "overhead", "energy overhead", "cooling factor"),
        Of(MachineField.HoursPerMonth, "hours on", ColumnUnit.HoursOn, "hour month", "hour on", "hour on month", "hour day", "hour week", "hours on"),
        Of(MachineField.LicencePerCore, "licence for a core", ColumnUnit.AMonthOrYear, "licence core", "licence core month", "licence core year", "price licence core"),
        Of(MachineField.LicencePerMachine, "licence for the machine", ColumnUnit.AMonthOrYear, "licence", "licence machine", "licence machine month", "licence month", "licence year", "price licence"),
        Catalogue, PricesOf, Invented, Rate, ConvertedInto, RateTakenOn,
    ];

    /// <summary>Its name in forms.</summary>
    public required string Key { get; init; }

    /// <summary>As shown: "price an hour".</summary>
    public required string Words { get; init; }

    /// <summary>The field of a machine, or of a way to pay, it fills; null for what is said of the list, and for nothing.</summary>
    public MachineField? Field { get; init; }

    /// <summary>What its bare numbers may count, the catalogue's own unit first; none where there is nothing to choose.</summary>
    public ImmutableArray<ColumnUnit> Units { get; init; } = [];

    /// <summary>Headings that mean it; words in the spelling of <see cref="HeadingTokens"/>.</summary>
    internal ImmutableArray<string> Phrases { get; init; } = [];

    /// <summary>The meaning of a name in a form; left out for one that is not known.</summary>
    public static ColumnMeaning OfKey(string? key) => All.FirstOrDefault(meaning => meaning.Key == key) ?? LeftOut;

    /// <summary>True where it is a figure, so that numbers are expected under it.</summary>
    internal bool IsFigure => Field is { } filled ? filled is not (MachineField.Name or MachineField.Kind or MachineField.Currency) : this == Rate;

    private static ColumnMeaning Of(MachineField field, string words, ImmutableArray<ColumnUnit> units, params string[] phrases) =>
        new() { Key = Reading.FieldNames.Of(field), Words = words, Field = field, Units = units, Phrases = [.. phrases] };
}
