using System.Collections.Immutable;
using System.Globalization;

namespace Capacityplan.Core.Reading;

/// <summary>What can be wrong or doubtful in a text of task durations.</summary>
internal enum SampleFinding
{
    NothingRead,
    TooMany,
    Negative,
    AllZero,
    NotADuration,
    TooLong,
    TooShort,
    NoCell,
    LongLine,
    BadCount,
    Figure,
    ColumnGuessed,
    MixedUnits,
    ReadAsSeconds,
    ReadAsUnit,
    ColumnChosen,
    OpenMark,
    Comment,
    Zeros,
}

/// <summary>Gathers findings as a text is read, a hundred of each kind, and counts the rest.</summary>
internal sealed class SampleFindings
{
    private const int MostOfOneKind = 100;

    private readonly List<(SampleFinding Kind, TextSpan? At, string Message)> _kept = [];
    private readonly Dictionary<SampleFinding, (int Count, TextSpan? Next)> _counts = [];

    public bool HasError { get; private set; }

    /// <summary>Notes a finding; the quote is what stands there, or ready to show.</summary>
    public void Add(SampleFinding kind, TextSpan? at, ReadOnlySpan<char> quote = default)
    {
        var (count, next) = _counts.GetValueOrDefault(kind);
        _counts[kind] = (count + 1, count == MostOfOneKind ? at : next);
        HasError |= SeverityOf(kind) == ProblemSeverity.Error;
        if (count < MostOfOneKind)
            _kept.Add((kind, at, Message(kind, quote.Length > 200 ? quote[..200].ToString() : quote.ToString())));
    }

    public ImmutableArray<Problem> Problems()
    {
        var problems = _kept.Select(finding => (finding.At, Problem: Say(finding.Kind, finding.At, finding.Message))).ToList();
        foreach (var (kind, (count, next)) in _counts)
        {
            if (count > MostOfOneKind)
                problems.Add((next, Say(kind, next, $"{Number(count - MostOfOneKind)} more like the ones above, of the same kind, from here on.")));
        }

        return [.. problems.OrderBy(one => one.At?.Line ?? 0).ThenBy(one => one.At?.Column ?? 0).Select(one => one.Problem)];
    }

    public static string Number(int number) => number.ToString("#,0", CultureInfo.InvariantCulture);

    private static Problem Say(SampleFinding kind, TextSpan? at, string message) =>
        new(SeverityOf(kind), message, at?.Line, at?.Column, at?.Length ?? 0);

    private static ProblemSeverity SeverityOf(SampleFinding kind) => kind switch
    {
        <= SampleFinding.AllZero => ProblemSeverity.Error,
        <= SampleFinding.MixedUnits => ProblemSeverity.Warning,
        _ => ProblemSeverity.Note,
    };

    private static string Message(SampleFinding kind, string quote) => kind switch
    {
        SampleFinding.NothingRead => "No durations here. Give one or more numbers, such as 12.3 ms.",
        SampleFinding.TooMany => $"More than {Number(SampleReader.MostValues)} durations, so none are read. Give every second or every tenth of them, chosen without looking at their length.",
        SampleFinding.Negative => $"{FindingWords.Quoted(quote)} is below 0, which no duration is. Correct it or take it out.",
        SampleFinding.AllZero => "Every duration is 0. Give them with more digits.",
        SampleFinding.NotADuration => $"{FindingWords.Quoted(quote)} is not a duration, so it is left out. Write it like 12.3 ms, 1.5 s or 1:23.",
        SampleFinding.TooLong => $"{FindingWords.Quoted(quote)} is longer than 10 years, so it is left out. Check its unit.",
        SampleFinding.TooShort => $"{FindingWords.Quoted(quote)} is shorter than a billionth of a nanosecond, so it is left out. Check its unit.",
        SampleFinding.NoCell => "This line has nothing in the column that is read, so it is left out.",
        SampleFinding.LongLine => "This line is too long for a row of a table, so it is left out.",
        SampleFinding.BadCount => $"{FindingWords.Quoted(quote)} is not a count of tasks, so this is left out. Write a whole number of 1 or more.",
        SampleFinding.Figure => $"{FindingWords.Quoted(quote)} sums the tasks up, so it is left out.",
        SampleFinding.ColumnGuessed => $"{quote} is read. If the durations are in another column, give that one alone.",
        SampleFinding.MixedUnits => "Some values have different units and others have none; those are read as seconds.",
        SampleFinding.ReadAsSeconds => "No unit is given; these durations are read as seconds. Is that right?",
        SampleFinding.ReadAsUnit => $"Values without a unit are read as {quote}, like the others.",
        SampleFinding.ColumnChosen => $"{quote} is read; the other columns are not used.",
        SampleFinding.OpenMark => $"{FindingWords.Quoted(quote)} can be read with thousands or with decimals; thousands are taken. Write it without the comma to settle it.",
        SampleFinding.Comment => $"A comment with figures, {FindingWords.Quoted(quote)}, is left out.",
        SampleFinding.Zeros => $"{quote} 0, perhaps shorter than the clock can tell. They are kept.",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "A finding without words."),
    };
}
