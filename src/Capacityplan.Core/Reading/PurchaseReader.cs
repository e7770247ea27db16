using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Reading;

/// <summary>Reads a way to pay from its texts.</summary>
internal static class PurchaseReader
{
    private const int MostMonths = 1_200;
    private const double MostWatts = 1e7;
    private const double MostInterruptions = 3_600;
    private const double MostOverhead = 100;
    private const double MostHoursPerMonth = 744;

    private const string NoHourPrice = "Type what an hour costs, such as 1.50.";

    /// <summary>Reads a way to pay of any kind.</summary>
    /// <param name="kind">The kind.</param>
    /// <param name="cells">Reads its texts.</param>
    /// <param name="currency">The machine's currency, for one that names none.</param>
    /// <returns>Null where something is missing or cannot be read; <paramref name="cells"/> was told what.</returns>
    public static PurchaseOption? Read(string kind, FigureReader cells, string currency)
    {
        switch (kind)
        {
            case MeteredPurchase.KindName:
                return ReadMetered(cells, alwaysOn: false, currency);
            case PurchaseDraft.AlwaysOnKind:
                return ReadMetered(cells, alwaysOn: true, currency);
            case TermPurchase.KindName:
                return ReadTerm(cells, currency);
            case InterruptiblePurchase.KindName:
                return ReadInterruptible(cells, currency);
            case OwnedPurchase.KindName:
                return ReadOwned(cells, currency);
            default:
                cells.Refuse(MachineField.Kind, string.IsNullOrWhiteSpace(kind)
                    ? "Choose how it is paid for."
                    : $"\"{FigureReader.Shown(kind)}\" is not a way to pay. Choose by the time used, always on, for a term, interruptible or owned.");
                return null;
        }
    }

    /// <summary>Reads one paid by the time used.</summary>
    public static MeteredPurchase? ReadMetered(FigureReader cells, bool alwaysOn, string currency = "")
    {
        var parts = new Parts();
        decimal price = parts.Take(cells.Amount(MachineField.PricePerHour, NoHourPrice));
        string? code = parts.Take(cells.Currency(MachineField.Currency, currency));
        // What is always on is paid by the month, whatever the steps.
        (double increment, double minimum) = alwaysOn ? (1, 0) : Steps(cells, parts);
        return Licensed(cells, parts, () => new MeteredPurchase
        {
            Currency = code!,
            PricePerHour = price,
            IncrementSeconds = increment,
            MinimumSeconds = minimum,
            AlwaysOn = alwaysOn,
        });
    }

    private static TermPurchase? ReadTerm(FigureReader cells, string currency)
    {
        var parts = new Parts();
        decimal price = parts.Take(cells.Amount(MachineField.PricePerMonth, "Type what a month costs, such as 480; 0 where all is paid at the start."));
        string? code = parts.Take(cells.Currency(MachineField.Currency, currency));
        int months = parts.Take(cells.Whole(MachineField.TermMonths, "12", MostMonths));
        decimal upfront = parts.Take(cells.Amount(MachineField.Upfront, missing: null));
        return Licensed(cells, parts, () => new TermPurchase
        {
            Currency = code!,
            PricePerMonth = price,
            Months = months,
            Upfront = upfront,
        });
    }

    private static InterruptiblePurchase? ReadInterruptible(FigureReader cells, string currency)
    {
        var parts = new Parts();
        decimal price = parts.Take(cells.Amount(MachineField.PricePerHour, NoHourPrice));
        string? code = parts.Take(cells.Currency(MachineField.Currency, currency));
        double interruptions = parts.Take(cells.NumberFrom(MachineField.InterruptionsPerHour, "0.05", 0, MostInterruptions, blank: null, "Type how often it is interrupted in an hour of use, such as 0.05."));
        double restart = parts.Take(cells.Duration(MachineField.Restart, "120", blank: 0));
        double? checkpoint = cells.Duration(MachineField.Checkpoint, "10", blank: null, mayBeZero: false);
        parts.Need(checkpoint is not null || cells.IsBlank(MachineField.Checkpoint));
        (double increment, double minimum) = Steps(cells, parts);
        return Licensed(cells, parts, () => new InterruptiblePurchase
        {
            Currency = code!,
            PricePerHour = price,
            InterruptionsPerHour = interruptions,
            RestartSeconds = restart,
            CheckpointSeconds = checkpoint,
            IncrementSeconds = increment,
            MinimumSeconds = minimum,
        });
    }

    private static OwnedPurchase? ReadOwned(FigureReader cells, string currency)
    {
        var parts = new Parts();
        decimal price = parts.Take(cells.Amount(MachineField.PurchasePrice, "Type what the machine costs, such as 9,800."));
        string? code = parts.Take(cells.Currency(MachineField.Currency, currency));
        int months = parts.Take(cells.Whole(MachineField.LifetimeMonths, "48", MostMonths));
        double watts = parts.Take(cells.NumberFrom(MachineField.Watts, "350", 0, MostWatts, blank: 0));
        decimal energy = parts.Take(cells.Amount(MachineField.PricePerKilowattHour, missing: null));
        double overhead = parts.Take(cells.NumberFrom(MachineField.OverheadFactor, "1.4", 1, MostOverhead, blank: 1));
        double hours = parts.Take(cells.NumberFrom(MachineField.HoursPerMonth, "730", 0, MostHoursPerMonth, blank: PurchaseOption.AlwaysOnHours));
        return Licensed(cells, parts, () => new OwnedPurchase
        {
            Currency = code!,
            PurchasePrice = price,
            LifetimeMonths = months,
            Watts = watts,
            PricePerKilowattHour = energy,
            OverheadFactor = overhead,
            HoursPerMonth = hours,
        });
    }

    /// <summary>The steps the time used is counted in, and the least that is counted, seconds.</summary>
    private static (double Increment, double Minimum) Steps(FigureReader cells, Parts parts) =>
        (parts.Take(cells.Duration(MachineField.Increment, "1", blank: 1, mayBeZero: false)), parts.Take(cells.Duration(MachineField.Minimum, "60", blank: 0)));

    /// <summary>Makes a way to pay with its licences, which every kind has.</summary>
    private static T? Licensed<T>(FigureReader cells, Parts parts, Func<T> make)
        where T : PurchaseOption
    {
        decimal perCore = parts.Take(cells.Amount(MachineField.LicencePerCore, missing: null));
        decimal perMachine = parts.Take(cells.Amount(MachineField.LicencePerMachine, missing: null));
        return parts.AreWhole ? (T)((PurchaseOption)make() with { LicencePerCoreMonth = perCore, LicencePerMachineMonth = perMachine }) : null;
    }
}
