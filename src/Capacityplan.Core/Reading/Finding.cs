using System.Globalization;

namespace Capacityplan.Core.Reading;

/// <summary>What can be wrong or doubtful in pasted timings.</summary>
internal enum FindingKind
{
    NothingRead,
    NoTime,
    NotATime,
    NoCores,
    NotCores,
    PartCores,
    NoneCores,
    TooManyCores,
    ZeroTime,
    NegativeTime,
    TooLong,
    TooShort,
    NoSpeedup,
    NoRate,
    NoScale,
    TooMany,
    BrokenOff,
    NotASize,
    Unfinished,
    OpenMark,
    RisingFigures,
    ManyNames,
    ReadAsSeconds,
    ReadAsUnit,
    DecimalCommaBySemicolons,
    RelativeOnly,
    ScaledFigures,
    UnusedColumn,
    UnusedFigures,
    UnheadedRepeats,
    Spread,
    SizesScaled,
    BlankLineSittings,
    SameAsLine,
    Comment,
    Ignored,
    MoreLikeIt,
}

/// <summary>Something wrong or doubtful at a place.</summary>
/// <param name="Kind">What it is.</param>
/// <param name="At">Where; null where it concerns the whole text.</param>
/// <param name="Quote">The words or figures it is about, as they stand there or ready to show.</param>
/// <param name="Cores">The core count of the run that is left out or doubted; null where there is none.</param>
internal sealed record Finding(FindingKind Kind, TextSpan? At, string Quote = "", double? Cores = null)
{
    public ProblemSeverity Severity { get; init; } = Kind.Severity();
}

/// <summary>Says a finding in plain words: what happened, what stays, what to do.</summary>
internal static class FindingWords
{
    private const int LongestQuote = 32;

    public static ProblemSeverity Severity(this FindingKind kind) => kind switch
    {
        FindingKind.NothingRead => ProblemSeverity.Error,
        < FindingKind.ReadAsSeconds => ProblemSeverity.Warning,
        _ => ProblemSeverity.Note,
    };

    /// <summary>True where a run, or what should have been one, is left out.</summary>
    public static bool LeavesOut(this FindingKind kind) => kind is > FindingKind.NothingRead and < FindingKind.NotASize;

    /// <param name="finding">The finding.</param>
    /// <param name="othersStay">True where other runs on the same core count were read.</param>
    public static Problem Say(Finding finding, bool othersStay)
    {
        var at = finding.At;
        return new Problem(finding.Severity, Message(finding, othersStay), at?.Line, at?.Column, at?.Length ?? 0);
    }

    /// <summary>"12 cores", "1 core", "1,024 cores".</summary>
    public static string Cores(double cores) => cores == 1
        ? "1 core"
        : cores.ToString(Math.Abs(cores) < 1e15 ? "#,0.######" : "0.###e+0", CultureInfo.InvariantCulture) + " cores";

    /// <summary>A piece of the text in quotation marks, cut where it is long.</summary>
    public static string Quoted(string text)
    {
        if (text.Length <= LongestQuote)
            return $"“{text}”";
        var cut = char.IsHighSurrogate(text[LongestQuote - 2]) ? LongestQuote - 2 : LongestQuote - 1;
        return $"“{text[..cut]}…”";
    }

    private static string Message(Finding finding, bool othersStay)
    {
        var quote = finding.Quote;
        var leftOut = finding.Cores is not { } cores ? "this line is left out"
            : othersStay ? $"this run on {Cores(cores)} is left out; the other runs stay"
            : $"{Cores(cores)} is left out";
        return finding.Kind switch
        {
            FindingKind.NothingRead => "No line has both a core count and a time. Write lines such as 8 cores: 12.4 s.",
            FindingKind.NoTime => $"No time here, so {leftOut}.",
            FindingKind.NotATime => $"{Quoted(quote)} is not a time, so {leftOut}. Write it like 12.4 s, 1h45m or 3:16:40.",
            FindingKind.NoCores => $"No core count here, so {quote} is left out. Write the number of cores beside it.",
            FindingKind.NotCores => $"{Quoted(quote)} is not a number of cores, so this line is left out. Write a whole number.",
            FindingKind.PartCores => $"{Cores(finding.Cores ?? 0)} is not a whole number, so this line is left out.",
            FindingKind.NoneCores => $"A run on {Cores(finding.Cores ?? 0)} cannot be, so this line is left out. Write the number of cores it had.",
            FindingKind.TooManyCores => $"{Cores(finding.Cores ?? 0)} is more than the {Cores(Fitting.Timing.MostCores)} a timing may name, so this line is left out.",
            FindingKind.ZeroTime => $"A time of 0 cannot be, so {leftOut}. Write it with more digits.",
            FindingKind.NegativeTime => $"A time cannot be below 0, so {leftOut}.",
            FindingKind.TooLong => $"{Quoted(quote)} is longer than 10 years, so {leftOut}. Check its unit.",
            FindingKind.TooShort => $"{Quoted(quote)} is shorter than a nanosecond, so {leftOut}. Check its unit.",
            FindingKind.NoSpeedup => $"A speedup has to be above 0, so {leftOut}.",
            FindingKind.NoRate => $"A rate has to be above 0, so {leftOut}.",
            FindingKind.NoScale => $"Nothing ties this figure to the times elsewhere, so {leftOut}. Write its time.",
            FindingKind.NotASize => $"{Quoted(quote)} is not an input size, so the planned size is taken for {Cores(finding.Cores ?? 0)}.",
            FindingKind.Unfinished => $"This says {Quoted(quote)}, yet its time is used for {Cores(finding.Cores ?? 0)}. Take the line out if the run did not finish.",
            FindingKind.OpenMark => $"{Quoted(quote)} can be read with thousands or with decimals; thousands are taken. Write it without the comma to settle it.",
            FindingKind.RisingFigures => $"These figures rise with the cores, so they are read as {quote}, not as times. If they are times, head the column “seconds”.",
            FindingKind.ManyNames => $"This column names {quote} different things, and all lines are read as one job. Keep the lines of one.",
            FindingKind.TooMany => $"The first {quote} timings are read; from here on they are left out.",
            FindingKind.BrokenOff => "The text breaks off or goes wrong here; what stands before is read.",
            FindingKind.ReadAsSeconds => "No unit is given; these times are read as seconds.",
            FindingKind.ReadAsUnit => $"No unit here; read as {quote}, like the times around it.",
            FindingKind.DecimalCommaBySemicolons => $"{Quoted(quote)} is read with decimals, since semicolons part the columns.",
            FindingKind.RelativeOnly => $"These are {quote}, not times: how it scales is known, how long it takes is not. Give the time of one run.",
            FindingKind.ScaledFigures => $"The {quote} are turned into times with the times given.",
            FindingKind.UnusedColumn => $"{quote} is not used.",
            FindingKind.UnusedFigures => $"{Quoted(quote)} is not used.",
            FindingKind.UnheadedRepeats => "The columns without a heading are read as repeated runs.",
            FindingKind.Spread => "The spread after ± is not used; repeated runs would be.",
            FindingKind.SizesScaled => $"Input sizes are taken relative to the largest, {Quoted(quote)}.",
            FindingKind.BlankLineSittings => $"Blank lines part {quote} blocks with the same core counts; each is read as a sitting of its own.",
            FindingKind.SameAsLine => $"The same as line {quote}; both are kept, as two runs.",
            FindingKind.Comment => quote.Length == 0
                ? "A comment with figures; this line is left out."
                : $"Comments with figures; {quote} are left out.",
            FindingKind.Ignored => quote.Length == 0
                ? "Figures, but no core count with a time; this line is left out."
                : $"Figures, but no core count with a time; {quote} are left out.",
            FindingKind.MoreLikeIt => $"{quote} more lines like the one above are left out or noted for the same reason.",
            _ => throw new ArgumentOutOfRangeException(nameof(finding), finding.Kind, "A finding without words."),
        };
    }
}
