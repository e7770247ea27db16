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
        decimal? price = cells.Amount(MachineField.PricePerHour, NoHourPrice);
        string? code = cells.Currency(MachineField.Currency, currency);
        // What is always on is paid by the month, whatever the steps.
        double? increment = alwaysOn ? 1 : cells.Duration(MachineField.Increment, "1", blank: 1, mayBeZero: false);
        double? minimum = alwaysOn ? 0 : cells.Duration(MachineField.Minimum, "60", blank: 0);
        (decimal? perCore, decimal? perMachine) = Licences(cells);
        return price is null || code is null || increment is null || minimum is null || perCore is null || perMachine is null ? null : new MeteredPurchase
        {
            Currency = code,
            PricePerHour = price.Value,
            IncrementSeconds = increment.Value,
            MinimumSeconds = minimum.Value,
            AlwaysOn = alwaysOn,
            LicencePerCoreMonth = perCore.Value,
            LicencePerMachineMonth = perMachine.Value,
        };
    }

    private static TermPurchase? ReadTerm(FigureReader cells, string currency)
    {
        decimal? price = cells.Amount(MachineField.PricePerMonth, "Type what a month costs, such as 480; 0 where all is paid at the start.");
        string? code = cells.Currency(MachineField.Currency, currency);
        int? months = cells.Whole(MachineField.TermMonths, "12", MostMonths);
        decimal? upfront = cells.Amount(MachineField.Upfront, missing: null);
        (decimal? perCore, decimal? perMachine) = Licences(cells);
        return price is null || code is null || months is null || upfront is null || perCore is null || perMachine is null ? null : new TermPurchase
        {
            Currency = code,
            PricePerMonth = price.Value,
            Months = months.Value,
            Upfront = upfront.Value,
            LicencePerCoreMonth = perCore.Value,
            LicencePerMachineMonth = perMachine.Value,
        };
    }

    private static InterruptiblePurchase? ReadInterruptible(FigureReader cells, string currency)
    {
        decimal? price = cells.Amount(MachineField.PricePerHour, NoHourPrice);
        string? code = cells.Currency(MachineField.Currency, currency);
        double? interruptions = cells.NumberFrom(MachineField.InterruptionsPerHour, "0.05", 0, MostInterruptions, blank: null, "Type how often it is interrupted in an hour of use, such as 0.05.");
        double? restart = cells.Duration(MachineField.Restart, "120", blank: 0);
        double? checkpoint = cells.Duration(MachineField.Checkpoint, "10", blank: null, mayBeZero: false);
        double? increment = cells.Duration(MachineField.Increment, "1", blank: 1, mayBeZero: false);
        double? minimum = cells.Duration(MachineField.Minimum, "60", blank: 0);
        (decimal? perCore, decimal? perMachine) = Licences(cells);
        bool isCheckpointRead = checkpoint is not null || cells.IsBlank(MachineField.Checkpoint);
        return price is null || code is null || interruptions is null || restart is null || !isCheckpointRead || increment is null || minimum is null
            || perCore is null || perMachine is null ? null : new InterruptiblePurchase
            {
                Currency = code,
                PricePerHour = price.Value,
                InterruptionsPerHour = interruptions.Value,
                RestartSeconds = restart.Value,
                CheckpointSeconds = checkpoint,
                IncrementSeconds = increment.Value,
                MinimumSeconds = minimum.Value,
                LicencePerCoreMonth = perCore.Value,
                LicencePerMachineMonth = perMachine.Value,
            };
    }

    private static OwnedPurchase? ReadOwned(FigureReader cells, string currency)
    {
        decimal? price = cells.Amount(MachineField.PurchasePrice, "Type what the machine costs, such as 9,800.");
        string? code = cells.Currency(MachineField.Currency, currency);
        int? months = cells.Whole(MachineField.LifetimeMonths, "48", MostMonths);
        double? watts = cells.NumberFrom(MachineField.Watts, "350", 0, MostWatts, blank: 0);
        decimal? energy = cells.Amount(MachineField.PricePerKilowattHour, missing: null);
        double? overhead = cells.NumberFrom(MachineField.OverheadFactor, "1.4", 1, MostOverhead, blank: 1);
        double? hours = cells.NumberFrom(MachineField.HoursPerMonth, "730", 0, MostHoursPerMonth, blank: PurchaseOption.AlwaysOnHours);
        (decimal? perCore, decimal? perMachine) = Licences(cells);
        return price is null || code is null || months is null || watts is null || energy is null || overhead is null || hours is null
            || perCore is null || perMachine is null ? null : new OwnedPurchase
            {
                Currency = code,
                PurchasePrice = price.Value,
                LifetimeMonths = months.Value,
                Watts = watts.Value,
                PricePerKilowattHour = energy.Value,
                OverheadFactor = overhead.Value,
                HoursPerMonth = hours.Value,
                LicencePerCoreMonth = perCore.Value,
                LicencePerMachineMonth = perMachine.Value,
            };
    }

    private static (decimal? PerCore, decimal? PerMachine) Licences(FigureReader cells) =>
        (cells.Amount(MachineField.LicencePerCore, missing: null), cells.Amount(MachineField.LicencePerMachine, missing: null));
}
