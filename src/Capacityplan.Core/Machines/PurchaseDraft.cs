using System.Collections.Immutable;
using System.Globalization;

namespace Capacityplan.Core.Machines;

/// <summary>
/// A way to pay for a machine as its owner typed it. Texts that the kind does not use are kept, not read: whoever tries
/// another kind and comes back finds them as they were.
/// </summary>
public sealed record PurchaseDraft
{
    /// <summary>The kind of a machine paid by the time used that is never switched off.</summary>
    public const string AlwaysOnKind = "alwaysOn";

    private static readonly ImmutableArray<MachineField> s_licences = [MachineField.LicencePerCore, MachineField.LicencePerMachine];

    /// <summary>The kinds, in the order offered.</summary>
    public static ImmutableArray<string> Kinds { get; } =
        [MeteredPurchase.KindName, AlwaysOnKind, TermPurchase.KindName, InterruptiblePurchase.KindName, OwnedPurchase.KindName];

    /// <summary>One of <see cref="Kinds"/>, or what was found in its place.</summary>
    public string Kind { get; init; } = MeteredPurchase.KindName;

    /// <summary>Price of an hour, as "1.50".</summary>
    public string PricePerHour { get; init; } = "";

    /// <summary>Billing increment, as "1" or "1 min"; blank is 1 s.</summary>
    public string Increment { get; init; } = "";

    /// <summary>The least that is billed for a run; blank is none.</summary>
    public string Minimum { get; init; } = "";

    /// <summary>Price of a month, as "480".</summary>
    public string PricePerMonth { get; init; } = "";

    /// <summary>Paid once at the start of the term; blank is nothing.</summary>
    public string Upfront { get; init; } = "";

    /// <summary>Length of the term, months, as "12".</summary>
    public string TermMonths { get; init; } = "";

    /// <summary>Interruptions in an hour of use, as "0.05".</summary>
    public string InterruptionsPerHour { get; init; } = "";

    /// <summary>Time until the job goes on after one, as "2 min"; blank is none.</summary>
    public string Restart { get; init; } = "";

    /// <summary>Time that writing a checkpoint takes, as "10"; blank where the job writes none.</summary>
    public string Checkpoint { get; init; } = "";

    /// <summary>Price of the machine itself, as "9,800".</summary>
    public string PurchasePrice { get; init; } = "";

    /// <summary>Months it is used for, as "48".</summary>
    public string LifetimeMonths { get; init; } = "";

    /// <summary>Power it draws while it is on, W; blank is none.</summary>
    public string Watts { get; init; } = "";

    /// <summary>Price of a kilowatt-hour, as "0.24"; blank is none.</summary>
    public string PricePerKilowattHour { get; init; } = "";

    /// <summary>Energy paid for over what the machine draws, as "1.4"; blank is 1.</summary>
    public string OverheadFactor { get; init; } = "";

    /// <summary>Hours it is on a month; blank is all of them, 730.</summary>
    public string HoursPerMonth { get; init; } = "";

    /// <summary>ISO 4217 code of its amounts, as "EUR"; blank is that of the machine's row.</summary>
    public string Currency { get; init; } = "";

    /// <summary>A licence for each physical core, a month; blank is none.</summary>
    public string LicencePerCore { get; init; } = "";

    /// <summary>A licence for the machine, a month; blank is none.</summary>
    public string LicencePerMachine { get; init; } = "";

    /// <summary>The text of a blank.</summary>
    public string this[MachineField field] => field switch
    {
        MachineField.Kind => Kind,
        MachineField.PricePerHour => PricePerHour,
        MachineField.Increment => Increment,
        MachineField.Minimum => Minimum,
        MachineField.PricePerMonth => PricePerMonth,
        MachineField.Upfront => Upfront,
        MachineField.TermMonths => TermMonths,
        MachineField.InterruptionsPerHour => InterruptionsPerHour,
        MachineField.Restart => Restart,
        MachineField.Checkpoint => Checkpoint,
        MachineField.PurchasePrice => PurchasePrice,
        MachineField.LifetimeMonths => LifetimeMonths,
        MachineField.Watts => Watts,
        MachineField.PricePerKilowattHour => PricePerKilowattHour,
        MachineField.OverheadFactor => OverheadFactor,
        MachineField.HoursPerMonth => HoursPerMonth,
        MachineField.Currency => Currency,
        MachineField.LicencePerCore => LicencePerCore,
        MachineField.LicencePerMachine => LicencePerMachine,
        _ => throw new ArgumentOutOfRangeException(nameof(field), field, "No field of a way to pay."),
    };

    /// <summary>The draft with another text in one blank.</summary>
    public PurchaseDraft With(MachineField field, string text) => field switch
    {
        MachineField.Kind => this with { Kind = text },
        MachineField.PricePerHour => this with { PricePerHour = text },
        MachineField.Increment => this with { Increment = text },
        MachineField.Minimum => this with { Minimum = text },
        MachineField.PricePerMonth => this with { PricePerMonth = text },
        MachineField.Upfront => this with { Upfront = text },
        MachineField.TermMonths => this with { TermMonths = text },
        MachineField.InterruptionsPerHour => this with { InterruptionsPerHour = text },
        MachineField.Restart => this with { Restart = text },
        MachineField.Checkpoint => this with { Checkpoint = text },
        MachineField.PurchasePrice => this with { PurchasePrice = text },
        MachineField.LifetimeMonths => this with { LifetimeMonths = text },
        MachineField.Watts => this with { Watts = text },
        MachineField.PricePerKilowattHour => this with { PricePerKilowattHour = text },
        MachineField.OverheadFactor => this with { OverheadFactor = text },
        MachineField.HoursPerMonth => this with { HoursPerMonth = text },
        MachineField.Currency => this with { Currency = text },
        MachineField.LicencePerCore => this with { LicencePerCore = text },
        MachineField.LicencePerMachine => this with { LicencePerMachine = text },
        _ => throw new ArgumentOutOfRangeException(nameof(field), field, "No field of a way to pay."),
    };

    /// <summary>The blanks a kind uses, licences and currency among them, in the order shown.</summary>
    /// <param name="kind">The kind; of one that is not known only what every kind has.</param>
    public static ImmutableArray<MachineField> FieldsOf(string kind) => kind switch
    {
        MeteredPurchase.KindName => [MachineField.PricePerHour, MachineField.Currency, MachineField.Increment, MachineField.Minimum, .. s_licences],
        AlwaysOnKind => [MachineField.PricePerHour, MachineField.Currency, .. s_licences],
        TermPurchase.KindName => [MachineField.PricePerMonth, MachineField.Currency, MachineField.TermMonths, MachineField.Upfront, .. s_licences],
        InterruptiblePurchase.KindName =>
        [
            MachineField.PricePerHour, MachineField.Currency, MachineField.InterruptionsPerHour, MachineField.Restart, MachineField.Checkpoint,
            MachineField.Increment, MachineField.Minimum, .. s_licences,
        ],
        OwnedPurchase.KindName =>
        [
            MachineField.PurchasePrice, MachineField.Currency, MachineField.LifetimeMonths, MachineField.Watts, MachineField.PricePerKilowattHour,
            MachineField.OverheadFactor, MachineField.HoursPerMonth, .. s_licences,
        ],
        _ => [MachineField.Currency, .. s_licences],
    };

    /// <summary>The texts that make a way to pay.</summary>
    public static PurchaseDraft Of(PurchaseOption option)
    {
        var shared = new PurchaseDraft
        {
            Kind = option is MeteredPurchase { AlwaysOn: true } ? AlwaysOnKind : option.Kind,
            Currency = option.Currency,
            LicencePerCore = WriteUnlessZero(option.LicencePerCoreMonth),
            LicencePerMachine = WriteUnlessZero(option.LicencePerMachineMonth),
        };
        return option switch
        {
            InterruptiblePurchase interruptible => Hourly(shared, interruptible) with
            {
                InterruptionsPerHour = Write(interruptible.InterruptionsPerHour),
                Restart = Write(interruptible.RestartSeconds),
                Checkpoint = interruptible.CheckpointSeconds is { } seconds ? Write(seconds) : "",
            },
            HourlyPurchase hourly => Hourly(shared, hourly),
            TermPurchase term => shared with
            {
                PricePerMonth = Write(term.PricePerMonth),
                Upfront = Write(term.Upfront),
                TermMonths = term.Months.ToString(CultureInfo.InvariantCulture),
            },
            OwnedPurchase owned => shared with
            {
                PurchasePrice = Write(owned.PurchasePrice),
                LifetimeMonths = owned.LifetimeMonths.ToString(CultureInfo.InvariantCulture),
                Watts = Write(owned.Watts),
                PricePerKilowattHour = Write(owned.PricePerKilowattHour),
                OverheadFactor = Write(owned.OverheadFactor),
                HoursPerMonth = Write(owned.HoursPerMonth),
            },
            _ => throw new ArgumentOutOfRangeException(nameof(option), option.Kind, "A kind of purchase without texts."),
        };
    }

    /// <summary>An amount with every digit it has, two decimals at least.</summary>
    internal static string Write(decimal amount) => amount.ToString("0.00##########################", CultureInfo.InvariantCulture);

    /// <summary>The same, and blank for none.</summary>
    internal static string WriteUnlessZero(decimal amount) => amount == 0 ? "" : Write(amount);

    private static string Write(double value) => value.ToString(CultureInfo.InvariantCulture);

    private static PurchaseDraft Hourly(PurchaseDraft shared, HourlyPurchase hourly) => shared with
    {
        PricePerHour = Write(hourly.PricePerHour),
        Increment = Write(hourly.IncrementSeconds),
        Minimum = Write(hourly.MinimumSeconds),
    };
}
