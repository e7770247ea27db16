using System.Globalization;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Reading;

/// <summary>Reads the texts of one machine or of one way to pay for it, and says what is wrong with each.</summary>
/// <param name="row">The machine's place in the draft, from 0.</param>
/// <param name="way">The further way to pay, from 1; 0 for the machine's own cells.</param>
/// <param name="path">Where it is, as the HTTP API names it; joined with the field's name.</param>
/// <param name="text">The text of a field.</param>
/// <param name="problems">Receives what is wrong.</param>
internal sealed class FigureReader(int row, int way, Func<MachineField, string> path, Func<MachineField, string> text, List<CellProblem> problems)
{
    /// <summary>A longer time in a list of machines is a slip, as are figures past the limits below.</summary>
    private const double LongestSeconds = 366 * TimeUnits.Day;

    private const int MostCount = 1_000_000;
    private const double MostPrice = 1e9;

    /// <summary>A text short enough for a sentence.</summary>
    public static string Shown(string text) => text.Trim() is { Length: > 24 } longer ? longer[..24] + "…" : text.Trim();

    public bool IsBlank(MachineField field) => string.IsNullOrWhiteSpace(text(field));

    public string Text(MachineField field) => text(field).Trim();

    public int? Whole(MachineField field, string example, int most = MostCount)
    {
        if (IsBlank(field))
            return (int?)Refuse(field, $"Type how many, such as {example}.");
        if (!TryNumber(field, out double value) || value != Math.Floor(value))
            return (int?)Refuse(field, $"\"{Shown(text(field))}\" is not a whole number. Type one such as {example}.");
        return (int?)InRange(field, value, 1, most);
    }

    public double? Number(MachineField field, string example, double most, double? blank = null)
    {
        if (IsBlank(field))
            return blank;
        if (!TryNumber(field, out double value))
            return Refuse(field, $"\"{Shown(text(field))}\" is not a number. Type one such as {example}.");
        return AboveZero(field, value) is { } positive ? InRange(field, positive, 0, most) : null;
    }

    public double? NumberFrom(MachineField field, string example, double least, double most, double? blank, string missing = "")
    {
        if (IsBlank(field))
            return blank ?? Refuse(field, missing);
        return TryNumber(field, out double value)
            ? InRange(field, value, least, most)
            : Refuse(field, $"\"{Shown(text(field))}\" is not a number. Type one such as {example}.");
    }

    public double? Memory(MachineField field, double most)
    {
        if (IsBlank(field))
            return Refuse(field, "Type how much, such as 32 GiB.");
        if (!MemoryText.TryRead(text(field), out double gibibytes))
            return Refuse(field, $"\"{Shown(text(field))}\" is not an amount of memory. Type one such as 32 GiB.");
        return AboveZero(field, gibibytes) is { } positive ? InRange(field, positive, 0, most) : null;
    }

    public double? Duration(MachineField field, string example, double? blank, bool mayBeZero = true)
    {
        if (IsBlank(field))
            return blank;
        if (!DurationText.TryRead(text(field), 1, DecimalMark.Unknown, out DurationReading reading))
            return Refuse(field, $"\"{Shown(text(field))}\" is not a time. Type seconds, such as {example}, or a time such as 2 min.");
        NoteIfAmbiguous(field, reading.IsAmbiguous, reading.Seconds);
        if (!mayBeZero && AboveZero(field, reading.Seconds) is null)
            return null;
        return reading.Seconds is >= 0 and <= LongestSeconds
            ? reading.Seconds
            : Refuse(field, $"\"{Shown(text(field))}\" is out of range: it has to be from 0 to {Plain(LongestSeconds / TimeUnits.Day)} days.");
    }

    /// <param name="field">The field.</param>
    /// <param name="missing">What to say where it is blank; null where blank is nothing.</param>
    public decimal? Amount(MachineField field, string? missing)
    {
        if (IsBlank(field))
        {
            if (missing is null)
                return 0;
            Refuse(field, missing);
            return null;
        }

        // A plain decimal keeps every digit; a number written any other way comes by way of a double's fifteen.
        bool isPlain = decimal.TryParse(text(field), NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingWhite | NumberStyles.AllowTrailingWhite,
            CultureInfo.InvariantCulture, out decimal plain);
        double value = (double)plain;
        if (!isPlain && !TryNumber(field, out value))
        {
            Refuse(field, $"\"{Shown(text(field))}\" is not a number. Type one such as 1.50; its currency has a cell of its own.");
            return null;
        }

        return InRange(field, value, 0, MostPrice) is null ? null : isPlain ? plain : (decimal)value;
    }

    /// <param name="field">The field.</param>
    /// <param name="otherwise">The code that stands where the field is blank; blank for none.</param>
    public string? Currency(MachineField field, string otherwise = "")
    {
        string typed = IsBlank(field) ? otherwise : text(field);
        string code = typed.Trim().ToUpperInvariant();
        if (code.Length == 3 && code.All(char.IsAsciiLetterUpper))
            return code;
        Refuse(field, code.Length == 0
            ? "Type the price's currency, as three letters such as EUR."
            : $"\"{Shown(typed)}\" is not a currency's three letters. Type them, such as EUR.");
        return null;
    }

    public double? Refuse(MachineField field, string message)
    {
        problems.Add(Found(field, ProblemSeverity.Warning, message));
        return null;
    }

    public void Note(MachineField field, string message) => problems.Add(Found(field, ProblemSeverity.Note, message));

    private CellProblem Found(MachineField field, ProblemSeverity severity, string message) =>
        new(row, field, new Problem(severity, message, Path: path(field)), way);

    private bool TryNumber(MachineField field, out double value)
    {
        bool isNumber = NumberText.TryRead(text(field), DecimalMark.Unknown, out NumberReading reading);
        value = reading.Value;
        if (isNumber)
            NoteIfAmbiguous(field, reading.IsAmbiguous, value);
        return isNumber;
    }

    private void NoteIfAmbiguous(MachineField field, bool isAmbiguous, double value)
    {
        if (isAmbiguous)
            Note(field, $"\"{Shown(text(field))}\" was read as {value.ToString("0.###", CultureInfo.InvariantCulture)}: a point stands before decimals here, a comma parts thousands.");
    }

    private double? AboveZero(MachineField field, double value) =>
        value > 0 ? value : Refuse(field, $"\"{Shown(text(field))}\" has to be above 0.");

    private double? InRange(MachineField field, double value, double least, double most) =>
        value >= least && value <= most
            ? value
            : Refuse(field, $"\"{Shown(text(field))}\" is out of range: it has to be from {Plain(least)} to {Plain(most)}.");

    private static string Plain(double value) => value.ToString("#,0.###", CultureInfo.InvariantCulture);
}
