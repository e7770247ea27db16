using System.Globalization;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Reading;

/// <summary>Reads the cells of one machine and gathers what is wrong with them.</summary>
internal sealed class CellReader(int row, MachineDraft draft)
{
    /// <summary>A longer time in a list of machines is a slip, as are figures past the limits below.</summary>
    private const double LongestSeconds = 366 * TimeUnits.Day;

    private const int MostThreads = 1_000_000;
    private const double MostSpeed = 100;
    private const double MostMemoryGiB = 1e7;
    private const double MostBandwidthGBps = 1e6;
    private const double MostPrice = 1e9;

    private readonly List<CellProblem> _problems = [];

    public IReadOnlyList<CellProblem> Problems => _problems;

    /// <summary>Where a cell is, as the HTTP API names it: "machines[3].memoryGiB".</summary>
    public static string Path(int row, MachineField field) =>
        string.Create(CultureInfo.InvariantCulture, $"machines[{row}].{JsonName(field)}");

    /// <summary>A text short enough for a sentence.</summary>
    public static string Shown(string text) => text.Trim() is { Length: > 24 } longer ? longer[..24] + "…" : text.Trim();

    /// <summary>The machine; null where a cell is missing or cannot be read.</summary>
    public MachineType? Read()
    {
        // Texts that were only shown and not typed are the machine they were made from, to the last digit.
        if (draft.Kept is { } shown && MachineDraft.Of(shown).ReadsAs(draft))
            return shown;

        string name = draft.Name.Trim();
        if (name.Length == 0)
            Refuse(MachineField.Name, "A machine needs a name.");
        double? threads = Whole(MachineField.HardwareThreads, "16");
        double? cores = Whole(MachineField.PhysicalCores, "8");
        double? speed = Number(MachineField.RelativeCoreSpeed, "0.85", MostSpeed, blank: 1);
        double? memory = Memory();
        double? bandwidth = IsBlank(MachineField.MemoryBandwidth) ? null : Number(MachineField.MemoryBandwidth, "200", MostBandwidthGBps);
        double? startUp = Duration(MachineField.StartUp, "45", blank: 0);
        decimal? price = Price();
        string? currency = Currency();
        double? increment = Duration(MachineField.Increment, "1", blank: 1, mayBeZero: false);
        double? minimum = Duration(MachineField.Minimum, "60", blank: 0);
        if (cores > threads)
            Note(MachineField.PhysicalCores, $"More cores than hardware threads: {threads.Value.ToString("#,0", CultureInfo.InvariantCulture)} of them count.");

        if (_problems.Exists(problem => problem.Refuses)
            || threads is null || cores is null || speed is null || memory is null || startUp is null
            || price is null || currency is null || increment is null || minimum is null)
        {
            return null;
        }

        var metered = new MeteredPurchase
        {
            Currency = currency,
            PricePerHour = price.Value,
            IncrementSeconds = increment.Value,
            MinimumSeconds = minimum.Value,
        };
        return new MachineType
        {
            Name = name,
            HardwareThreads = (int)threads,
            PhysicalCores = (int)cores,
            RelativeCoreSpeed = speed.Value,
            MemoryGiB = memory.Value,
            MemoryBandwidthGBps = bandwidth,
            StartUpSeconds = startUp.Value,
            Purchase = [metered, .. OtherPurchases()],
        };
    }

    /// <summary>The ways to pay that have no cell, as the machine had them.</summary>
    private IEnumerable<PurchaseOption> OtherPurchases()
    {
        if (draft.Kept is not { } kept)
            return [];
        PurchaseOption? shown = kept.Purchase.OfType<MeteredPurchase>().FirstOrDefault();
        return kept.Purchase.Where(option => !ReferenceEquals(option, shown));
    }

    private double? Whole(MachineField field, string example)
    {
        if (IsBlank(field))
            return Refuse(field, $"Type how many, such as {example}.");
        if (!TryNumber(field, out double value) || value != Math.Floor(value))
            return Refuse(field, $"\"{Shown(draft[field])}\" is not a whole number. Type one such as {example}.");
        return InRange(field, value, 1, MostThreads);
    }

    private double? Number(MachineField field, string example, double most, double? blank = null)
    {
        if (IsBlank(field))
            return blank;
        if (!TryNumber(field, out double value))
            return Refuse(field, $"\"{Shown(draft[field])}\" is not a number. Type one such as {example}.");
        return AboveZero(field, value) is { } positive ? InRange(field, positive, 0, most) : null;
    }

    private double? Memory()
    {
        if (IsBlank(MachineField.Memory))
            return Refuse(MachineField.Memory, "Type how much, such as 32 GiB.");
        if (!MemoryText.TryRead(draft.Memory, out double gibibytes))
            return Refuse(MachineField.Memory, $"\"{Shown(draft.Memory)}\" is not an amount of memory. Type one such as 32 GiB.");
        return AboveZero(MachineField.Memory, gibibytes) is { } positive ? InRange(MachineField.Memory, positive, 0, MostMemoryGiB) : null;
    }

    private double? Duration(MachineField field, string example, double blank, bool mayBeZero = true)
    {
        if (IsBlank(field))
            return blank;
        if (!DurationText.TryRead(draft[field], 1, DecimalMark.Unknown, out DurationReading reading))
            return Refuse(field, $"\"{Shown(draft[field])}\" is not a time. Type seconds, such as {example}, or a time such as 2 min.");
        NoteIfAmbiguous(field, reading.IsAmbiguous, reading.Seconds);
        if (!mayBeZero && AboveZero(field, reading.Seconds) is null)
            return null;
        return reading.Seconds is >= 0 and <= LongestSeconds
            ? reading.Seconds
            : Refuse(field, $"\"{Shown(draft[field])}\" is out of range: it has to be from 0 to {Plain(LongestSeconds / TimeUnits.Day)} days.");
    }

    private decimal? Price()
    {
        const MachineField Field = MachineField.PricePerHour;
        if (IsBlank(Field))
        {
            Refuse(Field, "Type what an hour costs, such as 1.50.");
            return null;
        }

        // A plain decimal keeps every digit; a number written any other way comes by way of a double's fifteen.
        bool isPlain = decimal.TryParse(draft.PricePerHour, NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingWhite | NumberStyles.AllowTrailingWhite,
            CultureInfo.InvariantCulture, out decimal plain);
        double value = (double)plain;
        if (!isPlain && !TryNumber(Field, out value))
        {
            Refuse(Field, $"\"{Shown(draft.PricePerHour)}\" is not a number. Type one such as 1.50; its currency has a cell of its own.");
            return null;
        }

        return InRange(Field, value, 0, MostPrice) is null ? null : isPlain ? plain : (decimal)value;
    }

    private string? Currency()
    {
        string code = draft.Currency.Trim().ToUpperInvariant();
        if (code.Length == 3 && code.All(char.IsAsciiLetterUpper))
            return code;
        Refuse(MachineField.Currency, code.Length == 0
            ? "Type the price's currency, as three letters such as EUR."
            : $"\"{Shown(draft.Currency)}\" is not a currency's three letters. Type them, such as EUR.");
        return null;
    }

    private bool TryNumber(MachineField field, out double value)
    {
        bool isNumber = NumberText.TryRead(draft[field], DecimalMark.Unknown, out NumberReading reading);
        value = reading.Value;
        if (isNumber)
            NoteIfAmbiguous(field, reading.IsAmbiguous, value);
        return isNumber;
    }

    private void NoteIfAmbiguous(MachineField field, bool isAmbiguous, double value)
    {
        if (isAmbiguous)
            Note(field, $"\"{Shown(draft[field])}\" was read as {value.ToString("0.###", CultureInfo.InvariantCulture)}: a point stands before decimals here, a comma parts thousands.");
    }

    private double? AboveZero(MachineField field, double value) =>
        value > 0 ? value : Refuse(field, $"\"{Shown(draft[field])}\" has to be above 0.");

    private double? InRange(MachineField field, double value, double least, double most) =>
        value >= least && value <= most
            ? value
            : Refuse(field, $"\"{Shown(draft[field])}\" is out of range: it has to be from {Plain(least)} to {Plain(most)}.");

    private bool IsBlank(MachineField field) => string.IsNullOrWhiteSpace(draft[field]);

    private double? Refuse(MachineField field, string message)
    {
        _problems.Add(new CellProblem(row, field, new Problem(ProblemSeverity.Warning, message, Path: Path(row, field))));
        return null;
    }

    private void Note(MachineField field, string message) =>
        _problems.Add(new CellProblem(row, field, new Problem(ProblemSeverity.Note, message, Path: Path(row, field))));

    private static string Plain(double value) => value.ToString("#,0.###", CultureInfo.InvariantCulture);

    private static string JsonName(MachineField field) => field switch
    {
        MachineField.Name => "name",
        MachineField.HardwareThreads => "hardwareThreads",
        MachineField.PhysicalCores => "physicalCores",
        MachineField.RelativeCoreSpeed => "relativeCoreSpeed",
        MachineField.Memory => "memoryGiB",
        MachineField.MemoryBandwidth => "memoryBandwidthGBps",
        MachineField.StartUp => "startUpSeconds",
        MachineField.PricePerHour => "purchase[0].pricePerHour",
        MachineField.Currency => "purchase[0].currency",
        MachineField.Increment => "purchase[0].incrementSeconds",
        MachineField.Minimum => "purchase[0].minimumSeconds",
        _ => throw new ArgumentOutOfRangeException(nameof(field), field, "No such field."),
    };
}
