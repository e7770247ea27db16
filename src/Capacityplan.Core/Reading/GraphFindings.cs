using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core.Graphs;

namespace Capacityplan.Core.Reading;

/// <summary>What can be wrong or doubtful in a text of a task graph.</summary>
internal enum GraphFinding
{
    NothingRead,
    TooManyTasks,
    TooManyEdges,
    NotACount,
    NotAnId,
    NoId,
    OutsideNumbers,
    SameId,
    NoDuration,
    NotADuration,
    Negative,
    NotFinite,
    AllZero,
    NotParentCount,
    FewParents,
    ManyParents,
    ExitAsParent,
    NotDummy,
    FewRows,
    ManyRows,
    UnknownParent,
    Cycle,
    NoColumn,
    ManyFields,
    OpenQuote,
    BrokenQuote,
    LongLine,
    BrokenJson,
    BrokenOff,
    MeasuredTwice,
    NoTraceTasks,
    MeasuredOnly,
    OneSidedEdge,
    OtherSchema,
    SeveralCores,
    UnusedColumn,
    NoParentsColumn,
    RepeatedParent,
}

/// <summary>Gathers findings as a text is read, a hundred of each kind, and counts the rest.</summary>
internal sealed class GraphFindings
{
    private const int MostOfOneKind = 100;

    private readonly List<(TextSpan? At, Problem Problem)> _kept = [];
    private readonly Dictionary<GraphFinding, (int Count, TextSpan? Next)> _counts = [];

    public bool HasError { get; private set; }

    /// <summary>Notes a finding; the quote is what stands there, the detail ready to show.</summary>
    public void Add(GraphFinding kind, TextSpan? at, ReadOnlySpan<char> quote = default, string detail = "")
    {
        (int count, TextSpan? next) = _counts.GetValueOrDefault(kind);
        _counts[kind] = (count + 1, count == MostOfOneKind ? at : next);
        HasError |= SeverityOf(kind) == ProblemSeverity.Error;
        if (count < MostOfOneKind)
            _kept.Add((at, Say(kind, at, Message(kind, FindingWords.Quoted((quote.Length > 200 ? quote[..200] : quote).ToString()), detail))));
    }

    public ImmutableArray<Problem> Problems()
    {
        var problems = new List<(TextSpan? At, Problem Problem)>(_kept);
        foreach ((GraphFinding kind, (int count, TextSpan? next)) in _counts)
        {
            if (count > MostOfOneKind)
                problems.Add((next, Say(kind, next, $"{Number(count - MostOfOneKind)} more like the ones above, of the same kind, from here on.")));
        }

        return [.. problems.OrderBy(one => one.At?.Line ?? 0).ThenBy(one => one.At?.Column ?? 0).Select(one => one.Problem)];
    }

    public static string Number(int number) => number.ToString("#,0", CultureInfo.InvariantCulture);

    private static Problem Say(GraphFinding kind, TextSpan? at, string message) =>
        new(SeverityOf(kind), message, at?.Line, at?.Column, at?.Length ?? 0);

    private static ProblemSeverity SeverityOf(GraphFinding kind) => kind switch
    {
        <= GraphFinding.NoTraceTasks => ProblemSeverity.Error,
        <= GraphFinding.SeveralCores => ProblemSeverity.Warning,
        _ => ProblemSeverity.Note,
    };

    private static string Message(GraphFinding kind, string quote, string detail) => kind switch
    {
        GraphFinding.NothingRead => "No tasks here. Give a line for each: id, seconds, parents.",
        GraphFinding.TooManyTasks => $"More than {Number(TaskGraph.MostTasks)} tasks, so none are read. Give a part of the job, or tasks put together.",
        GraphFinding.TooManyEdges => $"More than {Number(TaskGraph.MostEdges)} edges, so the graph is not read. Give a part of the job, or tasks put together.",
        GraphFinding.NotACount => $"{quote} is not a number of tasks. It has to be a whole number of 1 or more.",
        GraphFinding.NotAnId => $"{quote} is not a task's number. Write a whole number.",
        GraphFinding.NoId => "This task has no id. Give it one of its own.",
        GraphFinding.OutsideNumbers => $"There is no task {quote}: numbers run from {detail}.",
        GraphFinding.SameId => $"The id {quote} is taken already, on line {detail}. Give each task one of its own.",
        GraphFinding.NoDuration => $"No duration for the task {quote}. Give its seconds.",
        GraphFinding.NotADuration => $"{quote} is not a duration. Write seconds, such as 12.5.",
        GraphFinding.Negative => $"{quote} is below 0, which no duration is.",
        GraphFinding.NotFinite => $"{quote} is too long for a duration.",
        GraphFinding.AllZero => "Every task takes 0 seconds. Give durations with more digits.",
        GraphFinding.NotParentCount => $"{quote} is not a number of parents. Write a whole number of 0 or more.",
        GraphFinding.FewParents => $"This row ends too soon: {detail}.",
        GraphFinding.ManyParents => $"This row goes on with {quote} after its last parent. Correct the number of parents before them.",
        GraphFinding.ExitAsParent => $"The exit {quote} is named as a parent, yet comes after all tasks.",
        GraphFinding.NotDummy => $"The {detail} of this form is no task of the job and takes no time, yet has {quote}. Write 0.",
        GraphFinding.FewRows => $"The text breaks off here: {detail}.",
        GraphFinding.ManyRows => $"More rows than the {detail} that the first line announces. Correct it, or take them out.",
        GraphFinding.UnknownParent => $"{quote} is named as a parent or child, but no task has this id. Add the task, or take it out.",
        GraphFinding.Cycle => $"Tasks wait for each other in a circle: {detail}. Take one of these edges out.",
        GraphFinding.NoColumn => $"No column is headed {detail}. Head the columns id, seconds, parents.",
        GraphFinding.ManyFields => $"This row has more fields than there are columns, from {quote} on. Part parents with semicolons or spaces.",
        GraphFinding.OpenQuote => "A quotation mark opens here and is never closed.",
        GraphFinding.BrokenQuote => $"Something follows a closing quotation mark. Write quotation marks inside a field twice.",
        GraphFinding.LongLine => "This line is too long to be one of a task graph.",
        GraphFinding.BrokenJson => "This is not JSON from here on. Check for a missing comma, quotation mark or bracket.",
        GraphFinding.BrokenOff => "The JSON breaks off here. Give the whole file.",
        GraphFinding.NoTraceTasks => "This JSON has no tasks under workflow.specification.tasks, where a workflow trace has them.",
        GraphFinding.MeasuredTwice => $"{quote} has a second run time here. Keep one for each task.",
        GraphFinding.MeasuredOnly => $"{quote} is measured, but is no task of the specification; its time is left out.",
        GraphFinding.OneSidedEdge => $"{quote} is listed among the children of {detail}, which it does not list as a parent. The edge is kept.",
        GraphFinding.OtherSchema => $"The trace follows schema {quote}; it is read as 1.5.",
        GraphFinding.SeveralCores => $"{quote} used {detail} cores; it is taken as using one.",
        GraphFinding.UnusedColumn => $"The column {quote} is not used.",
        GraphFinding.NoParentsColumn => "There is no column of parents, so no task waits for another.",
        GraphFinding.RepeatedParent => $"The parent {quote} is listed twice; it counts once.",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "A finding without words."),
    };
}
