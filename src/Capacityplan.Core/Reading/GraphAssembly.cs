using System.Collections.Immutable;
using System.Globalization;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using Capacityplan.Core.Graphs;

namespace Capacityplan.Core.Reading;

/// <summary>
/// Puts a graph together from tasks and edges as they are met, in whatever order: an id may be named as a parent before its
/// task comes.
/// </summary>
internal sealed class GraphAssembly(GraphFindings findings)
{
    private const int MostShownOfCycle = 8;

    // Ids that are plain numbers up to this, which most are, are found by number: every one is looked up several times.
    private const int MostByNumber = 10_000_000;

    private readonly Dictionary<string, int> _known = [];
    // One more than the name of a number; 0 where it has not been met.
    private int[] _byNumber = [];
    // By name, in the order they were met.
    private readonly List<string> _names = [];
    private readonly List<TextSpan> _met = [];
    private readonly List<int> _task = [];
    private readonly List<double> _seconds = [];
    // The last task a name was named by as a parent, from 1: naming it again there is worth a note.
    private readonly List<int> _namedBy = [];
    // By task: its name's number.
    private readonly List<int> _tasks = [];
    // By edge, in numbers of names.
    private readonly List<int> _parents = [];
    private readonly List<int> _children = [];

    public int Count => _tasks.Count;

    /// <summary>True once there are more than a graph may have.</summary>
    public bool IsFull { get; private set; }

    /// <summary>The number of a name that has been met; -1 where it has not.</summary>
    public int Known(ReadOnlySpan<char> id) => PlainNumber(id) is >= 0 and var plain
        ? Known(plain)
        : _known.GetAlternateLookup<ReadOnlySpan<char>>().TryGetValue(id, out int number) ? number : -1;

    /// <summary>Likewise of a name that is a plain number.</summary>
    public int Known(int plain) => plain < _byNumber.Length ? _byNumber[plain] - 1 : -1;

    /// <summary>The parents given so far, by the number of their child's name: where those of each begin, and all of them.</summary>
    public (int[] Start, int[] Parents) ParentsByChild() => ByChild(CollectionsMarshal.AsSpan(_parents), CollectionsMarshal.AsSpan(_children));

    /// <summary>The same of other edges, in numbers of names.</summary>
    public (int[] Start, int[] Parents) ByChild(ReadOnlySpan<int> parents, ReadOnlySpan<int> children)
    {
        int[] start = new int[_names.Count + 1];
        foreach (int child in children)
            start[child + 1]++;
        for (int name = 0; name < _names.Count; name++)
            start[name + 1] += start[name];
        int[] next = start[..^1];
        int[] sorted = new int[parents.Length];
        for (int i = 0; i < parents.Length; i++)
            sorted[next[children[i]]++] = parents[i];
        return (start, sorted);
    }

    /// <summary>The number of a name, met here.</summary>
    public int Name(ReadOnlySpan<char> id, TextSpan at)
    {
        if (PlainNumber(id) is >= 0 and var plain)
        {
            if (plain >= _byNumber.Length)
                Array.Resize(ref _byNumber, Math.Min(MostByNumber, Math.Max(2 * _byNumber.Length, plain + 1)));
            ref int found = ref _byNumber[plain];
            if (found == 0)
                found = Add(id.ToString(), at) + 1;
            return found - 1;
        }

        if (!_known.GetAlternateLookup<ReadOnlySpan<char>>().TryGetValue(id, out int number))
        {
            string name = id.ToString();
            number = Add(name, at);
            _known.Add(name, number);
        }

        return number;
    }

    /// <summary>The number that a name plainly is; -1 for anything that is not the one way to write a number below the most.</summary>
    public static int PlainNumber(ReadOnlySpan<byte> id)
    {
        if (id.IsEmpty || id.Length > 7 || id[0] == (byte)'0' && id.Length > 1)
            return -1;
        int number = 0;
        foreach (byte digit in id)
        {
            if (digit is < (byte)'0' or > (byte)'9')
                return -1;
            number = 10 * number + (digit - '0');
        }

        return number;
    }

    private static int PlainNumber(ReadOnlySpan<char> id)
    {
        if (id.IsEmpty || id.Length > 7 || id[0] == '0' && id.Length > 1)
            return -1;
        int number = 0;
        foreach (char digit in id)
        {
            if (digit is < '0' or > '9')
                return -1;
            number = 10 * number + (digit - '0');
        }

        return number;
    }

    private int Add(string name, TextSpan at)
    {
        int number = _names.Count;
        _names.Add(name);
        _met.Add(at);
        _task.Add(-1);
        _seconds.Add(double.NaN);
        _namedBy.Add(0);
        return number;
    }

    public string NameOf(int number) => _names[number];

    /// <summary>Says that a name is a task's.</summary>
    public void Declare(int name, TextSpan at)
    {
        if (_task[name] >= 0)
        {
            findings.Add(GraphFinding.SameId, at, _names[name], _met[name].Line.ToString(CultureInfo.InvariantCulture));
            return;
        }

        if (_tasks.Count == TaskGraph.MostTasks)
        {
            Fill(GraphFinding.TooManyTasks, at);
            return;
        }

        _task[name] = _tasks.Count;
        _tasks.Add(name);
        // From here on where it stands, not where it was first named as a parent.
        _met[name] = at;
    }

    public bool HasSeconds(int name) => !double.IsNaN(_seconds[name]);

    public void SetSeconds(int name, double seconds) => _seconds[name] = seconds;

    public TextSpan At(int name) => _met[name];

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Edge(int parent, int child, TextSpan at)
    {
        if (_namedBy[parent] == child + 1)
        {
            findings.Add(GraphFinding.RepeatedParent, at, _names[parent]);
            return;
        }

        _namedBy[parent] = child + 1;
        if (_parents.Count == TaskGraph.MostEdges)
        {
            Fill(GraphFinding.TooManyEdges, at);
            return;
        }

        _parents.Add(parent);
        _children.Add(child);
    }

    /// <summary>Reads a plain or written-out duration; null, with a finding, where it is none.</summary>
    public static double? Seconds(ReadOnlySpan<char> text, double unitSeconds, TextSpan at, GraphFindings findings)
    {
        if (!double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value))
        {
            if (!DurationText.TryRead(text, unitSeconds, DecimalMark.Unknown, out DurationReading reading))
            {
                findings.Add(GraphFinding.NotADuration, at, text);
                return null;
            }

            value = reading.Seconds;
        }
        else
        {
            value *= unitSeconds;
        }

        if (double.IsNaN(value))
            findings.Add(GraphFinding.NotADuration, at, text);
        else if (value < 0)
            findings.Add(GraphFinding.Negative, at, text);
        // The sum of all has to stay finite; no duration is as long as this.
        else if (value > 1e100)
            findings.Add(GraphFinding.NotFinite, at, text);
        else
            return value;
        return null;
    }

    /// <summary>The graph; null where anything is wrong.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public TaskGraph? Complete()
    {
        bool[]? hasEdge = null;
        for (int name = 0; name < _names.Count && !IsFull; name++)
        {
            if (_task[name] < 0)
                findings.Add((hasEdge ??= HaveEdges())[name] ? GraphFinding.UnknownParent : GraphFinding.MeasuredOnly, _met[name], _names[name]);
            else if (!HasSeconds(name) && !findings.HasError)
                findings.Add(GraphFinding.NoDuration, _met[name], _names[name]);
        }

        if (findings.HasError)
            return null;
        if (_tasks.Count == 0)
        {
            findings.Add(GraphFinding.NothingRead, null);
            return null;
        }

        string[] ids = new string[_tasks.Count];
        double[] seconds = new double[_tasks.Count];
        for (int task = 0; task < ids.Length; task++)
        {
            ids[task] = _names[_tasks[task]];
            seconds[task] = _seconds[_tasks[task]];
        }

        Span<int> parents = CollectionsMarshal.AsSpan(_parents);
        Span<int> children = CollectionsMarshal.AsSpan(_children);
        for (int i = 0; i < parents.Length; i++)
        {
            parents[i] = _task[parents[i]];
            children[i] = _task[children[i]];
        }

        return Build(ids, seconds, parents, children, task => ids[task], task => _met[_tasks[task]], findings);
    }

    // By name: whether an edge begins or ends there.
    private bool[] HaveEdges()
    {
        bool[] hasEdge = new bool[_names.Count];
        foreach (int parent in _parents)
            hasEdge[parent] = true;
        foreach (int child in _children)
            hasEdge[child] = true;
        return hasEdge;
    }

    /// <summary>The graph of tasks that have numbers; null where they take no time at all or wait in a circle.</summary>
    public static TaskGraph? Build(
        string[]? ids, double[] seconds, ReadOnlySpan<int> parents, ReadOnlySpan<int> children,
        Func<int, string> name, Func<int, TextSpan> at, GraphFindings findings)
    {
        if (!seconds.AsSpan().ContainsAnyExcept(0.0))
        {
            findings.Add(GraphFinding.AllZero, null);
            return null;
        }

        var graph = TaskGraph.TryCreate(ids, seconds, parents, children, out ImmutableArray<int> cycle);
        if (graph is null)
        {
            IEnumerable<string> shown = cycle.Take(MostShownOfCycle).Select(name);
            string rest = cycle.Length > MostShownOfCycle ? $" → … ({GraphFindings.Number(cycle.Length)} tasks)" : "";
            findings.Add(GraphFinding.Cycle, at(cycle[0]), default, $"{string.Join(" → ", shown)}{rest} → {name(cycle[0])}");
        }

        return graph;
    }

    private void Fill(GraphFinding finding, TextSpan at)
    {
        if (!IsFull)
            findings.Add(finding, at);
        IsFull = true;
    }
}
