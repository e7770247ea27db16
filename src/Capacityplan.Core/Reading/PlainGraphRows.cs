using System.Globalization;
using System.Runtime.InteropServices;
using Capacityplan.Core.Graphs;

namespace Capacityplan.Core.Reading;

/// <summary>
/// The plain text form: the number n of tasks, then n + 2 rows of number, time, how many parents, the parents. Row 0 is the
/// entry, row n + 1 the exit, both without time and no tasks of the job. Lines that begin with # say something else.
/// </summary>
internal sealed class PlainGraphRows(GraphFindings findings)
{
    private readonly List<int> _parents = [];
    private readonly List<int> _children = [];
    private double[] _seconds = [];
    private int[] _lines = [];
    // The last task a number was named by as a parent: naming it again there is worth a note.
    private int[] _namedBy = [];
    private int _tasks = -1;
    private int _lastLine = 1;
    private bool _isFull;

    public int Count { get; private set; }

    public bool IsFull => _isFull;

    public void Line(ReadOnlySpan<char> text, int line)
    {
        int at = 0;
        if (!Next(text, ref at, out int start) || text[start] == '#')
            return;
        _lastLine = line;
        ReadOnlySpan<char> first = text[start..at];
        if (_tasks < 0)
        {
            Begin(first, new TextSpan(line, start + 1, first.Length));
            return;
        }

        if (_tasks == 0)
            return;
        if (Count == _tasks + 2)
        {
            findings.Add(GraphFinding.ManyRows, new TextSpan(line, start + 1, 0), default, GraphFindings.Number(_tasks + 2));
            _isFull = true;
            return;
        }

        Count++;
        if (!Number(first, out int number))
            findings.Add(GraphFinding.NotAnId, new TextSpan(line, start + 1, first.Length), first);
        else if (number > _tasks + 1)
            findings.Add(GraphFinding.OutsideNumbers, new TextSpan(line, start + 1, first.Length), first, Numbers());
        else if (_lines[number] != 0)
            findings.Add(GraphFinding.SameId, new TextSpan(line, start + 1, first.Length), first, _lines[number].ToString(CultureInfo.InvariantCulture));
        else
            Row(text, at, number, line);
    }

    /// <summary>The graph; null where anything is wrong.</summary>
    public TaskGraph? Complete()
    {
        if (_tasks < 0)
            findings.Add(GraphFinding.NothingRead, null);
        else if (_tasks > 0 && Count < _tasks + 2)
            findings.Add(GraphFinding.FewRows, new TextSpan(_lastLine, 1, 0), default, $"{GraphFindings.Number(Count)} of {GraphFindings.Number(_tasks + 2)} rows are here, entry and exit counted");
        if (findings.HasError)
            return null;
        int[] lines = _lines;
        return GraphAssembly.Build(
            null, _seconds, CollectionsMarshal.AsSpan(_parents), CollectionsMarshal.AsSpan(_children),
            task => (task + 1).ToString(CultureInfo.InvariantCulture), task => new TextSpan(lines[task + 1], 1, 0), findings);
    }

    private void Begin(ReadOnlySpan<char> text, TextSpan at)
    {
        _tasks = 0;
        if (!Number(text, out int tasks) || tasks == 0)
        {
            findings.Add(GraphFinding.NotACount, at, text);
        }
        else if (tasks > TaskGraph.MostTasks)
        {
            findings.Add(GraphFinding.TooManyTasks, at);
        }
        else
        {
            _tasks = tasks;
            _seconds = new double[tasks];
            _lines = new int[tasks + 2];
            _namedBy = new int[tasks + 2];
        }

        _isFull = _tasks == 0;
    }

    private void Row(ReadOnlySpan<char> text, int at, int number, int line)
    {
        _lines[number] = line;
        if (!Next(text, ref at, out int start))
        {
            findings.Add(GraphFinding.FewParents, new TextSpan(line, at + 1, 0), default, "its time and parents are missing");
            return;
        }

        ReadOnlySpan<char> time = text[start..at];
        var timeAt = new TextSpan(line, start + 1, time.Length);
        double? seconds = Number(time, out int whole) ? whole : GraphAssembly.Seconds(time, 1, timeAt, findings);
        bool isTask = number >= 1 && number <= _tasks;
        if (isTask)
            _seconds[number - 1] = seconds ?? 0;
        else if (seconds is > 0)
            findings.Add(GraphFinding.NotDummy, timeAt, time, number == 0 ? "entry" : "exit");
        if (!Next(text, ref at, out start))
        {
            findings.Add(GraphFinding.FewParents, new TextSpan(line, at + 1, 0), default, "the number of its parents is missing");
            return;
        }

        if (!Number(text[start..at], out int parents))
        {
            findings.Add(GraphFinding.NotParentCount, new TextSpan(line, start + 1, at - start), text[start..at]);
            return;
        }

        int listed = 0;
        while (Next(text, ref at, out start))
        {
            var parentAt = new TextSpan(line, start + 1, at - start);
            if (listed++ == parents)
            {
                findings.Add(GraphFinding.ManyParents, parentAt, text[start..at]);
                return;
            }

            Parent(text[start..at], number, parentAt);
        }

        if (listed < parents)
            findings.Add(GraphFinding.FewParents, new TextSpan(line, text.Length + 1, 0), default, $"it announces {GraphFindings.Number(parents)} parents and lists {GraphFindings.Number(listed)}");
    }

    private void Parent(ReadOnlySpan<char> text, int child, TextSpan at)
    {
        if (!Number(text, out int parent))
        {
            findings.Add(GraphFinding.NotAnId, at, text);
        }
        else if (parent > _tasks + 1)
        {
            findings.Add(GraphFinding.OutsideNumbers, at, text, Numbers());
        }
        else if (parent == _tasks + 1)
        {
            findings.Add(GraphFinding.ExitAsParent, at, text);
        }
        else if (child == 0)
        {
            findings.Add(GraphFinding.Cycle, at, default, $"{parent.ToString(CultureInfo.InvariantCulture)} → 0 → {parent.ToString(CultureInfo.InvariantCulture)}");
        }
        else if (_namedBy[parent] == child)
        {
            findings.Add(GraphFinding.RepeatedParent, at, text);
        }
        else
        {
            _namedBy[parent] = child;
            if (parent == 0 || child > _tasks)
                return;
            if (_parents.Count == TaskGraph.MostEdges)
            {
                if (!_isFull)
                    findings.Add(GraphFinding.TooManyEdges, at);
                _isFull = true;
                return;
            }

            _parents.Add(parent - 1);
            _children.Add(child - 1);
        }
    }

    private string Numbers() => $"0 to {GraphFindings.Number(_tasks + 1)}";

    private static bool Next(ReadOnlySpan<char> text, ref int at, out int start)
    {
        while (at < text.Length && text[at] is ' ' or '\t' or '\f' or '\v')
            at++;
        start = at;
        while (at < text.Length && text[at] is not (' ' or '\t' or '\f' or '\v'))
            at++;
        return at > start;
    }

    // Whole numbers of at most nine digits, which every file has some millions of.
    private static bool Number(ReadOnlySpan<char> text, out int number)
    {
        number = 0;
        if (text.IsEmpty || text.Length > 9)
            return false;
        foreach (char digit in text)
        {
            if (digit is < '0' or > '9')
                return false;
            number = 10 * number + (digit - '0');
        }

        return true;
    }
}
