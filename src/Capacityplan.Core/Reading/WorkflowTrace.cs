using System.Buffers;
using System.Globalization;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Text;
using System.Text.Json;
using Capacityplan.Core.Graphs;

namespace Capacityplan.Core.Reading;

/// <summary>
/// A workflow trace in WfFormat JSON, schema 1.5: tasks with parents and children under workflow.specification, their run times
/// under workflow.execution, joined by id. Everything else is passed over.
/// </summary>
internal sealed partial class WorkflowTrace
{
    // One text may be a command with all its arguments, never as long as this.
    private const int LongestToken = 1 << 26;

    private static readonly (string Name, byte[] Bytes)[] s_properties =
    [
        .. new[]
        {
            "id", "parents", "children", "runtimeInSeconds", "coreCount", "tasks", "workflow", "specification", "execution",
            "makespanInSeconds", "schemaVersion", "name",
        }.Select(name => (name, Encoding.UTF8.GetBytes(name))),
    ];

    private static readonly SearchValues<byte> s_ends = SearchValues.Create(" \t\r\n,:{}[]\""u8);

    private readonly GraphFindings _findings;
    private readonly GraphAssembly _assembly;
    private readonly Encoder _encoder = Encoding.UTF8.GetEncoder();
    private readonly List<Part> _parts = [];
    private readonly List<int> _taskParents = [];
    private readonly List<int> _taskChildren = [];
    // Edges as tasks list their children, in numbers of names; they ought to be those that tasks list as their parents.
    private readonly List<int> _listedParents = [];
    private readonly List<int> _listedChildren = [];
    private byte[] _bytes = new byte[1 << 18];
    private char[] _word = new char[256];
    private int _length;
    private JsonReaderState _state;
    private string _property = "";
    // Where in _bytes the JSON reader began, which counts from there.
    private int _from;
    // How far line and column have been counted, in _bytes.
    private int _placed;
    private int _line = 1;
    private int _column = 1;
    // The task that is open.
    private int _name = -1;
    private TextSpan _taskAt;
    private double? _seconds;
    private TextSpan _secondsAt;
    private double _cores = 1;

    public WorkflowTrace(GraphFindings findings)
    {
        _findings = findings;
        _assembly = new GraphAssembly(findings);
    }

    private enum Part
    {
        Other,
        File,
        Workflow,
        Specification,
        Tasks,
        Task,
        Parents,
        Children,
        Execution,
        Runs,
        Run,
    }

    public int Count => _assembly.Count;

    /// <summary>True once the text is no JSON.</summary>
    public bool IsBroken { get; private set; }

    public bool IsFull => IsBroken || _assembly.IsFull;

    /// <summary>What the trace calls itself.</summary>
    public string? TraceName { get; private set; }

    /// <summary>The run time the trace records, seconds.</summary>
    public double? MakespanSeconds { get; private set; }

    public void Feed(ReadOnlySpan<char> block)
    {
        int most = Encoding.UTF8.GetMaxByteCount(block.Length);
        if (_length + most > _bytes.Length)
            Array.Resize(ref _bytes, Math.Max(2 * _bytes.Length, _length + most));
        _length += _encoder.GetBytes(block, _bytes.AsSpan(_length), flush: false);
        Read(isEnd: false);
    }

    /// <summary>The graph; null where anything is wrong.</summary>
    public TaskGraph? Complete()
    {
        if (!IsFull)
        {
            if (_bytes.Length - _length < 8)
                Array.Resize(ref _bytes, _length + 8);
            _length += _encoder.GetBytes([], _bytes.AsSpan(_length), flush: true);
            Read(isEnd: true);
        }

        if (IsBroken || _assembly.IsFull)
            return null;
        if (_assembly.Count == 0 && !_findings.HasError)
        {
            _findings.Add(GraphFinding.NoTraceTasks, null);
            return null;
        }

        AddListedChildren();
        return _assembly.Complete();
    }

    private void AddListedChildren()
    {
        if (_listedChildren.Count == 0)
            return;
        (int[] known, int[] parents) = _assembly.ParentsByChild();
        (int[] listed, int[] listing) = _assembly.ByChild(CollectionsMarshal.AsSpan(_listedParents), CollectionsMarshal.AsSpan(_listedChildren));
        // By name: the last child it was a parent of.
        int[] met = new int[known.Length];
        for (int child = 0; child + 1 < known.Length; child++)
        {
            foreach (int parent in parents.AsSpan(known[child]..known[child + 1]))
                met[parent] = child + 1;
            foreach (int parent in listing.AsSpan(listed[child]..listed[child + 1]))
            {
                if (met[parent] == child + 1)
                    continue;
                _assembly.Edge(parent, child, _assembly.At(child));
                _findings.Add(GraphFinding.OneSidedEdge, _assembly.At(parent), _assembly.NameOf(child), FindingWords.Quoted(_assembly.NameOf(parent)));
            }
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Read(bool isEnd)
    {
        if (IsFull)
            return;
        _from = 0;
        var reader = new Utf8JsonReader(_bytes.AsSpan(0, _length), isEnd, _state);
        try
        {
            while (!IsFull && reader.Read())
            {
                Token(ref reader);
                if (reader.TokenType is not (JsonTokenType.StartArray or JsonTokenType.StartObject))
                    continue;
                int at = _from + (int)reader.BytesConsumed;
                int end = _parts[^1] switch
                {
                    Part.Task or Part.Run => PlainObjects(at),
                    Part.Parents => PlainNames(at, _taskParents),
                    Part.Children => PlainNames(at, _taskChildren),
                    _ => -1,
                };
                if (end < 0)
                    continue;
                // What the JSON reader sees is a task without properties, or a list without names.
                _state = reader.CurrentState;
                _from = end;
                reader = new Utf8JsonReader(_bytes.AsSpan(_from, _length - _from), isEnd, _state);
            }
        }
        catch (JsonException)
        {
            Break(isEnd, _from + (int)reader.BytesConsumed);
            return;
        }
        catch (InvalidOperationException)
        {
            // Half of a surrogate pair, written as an escape: no character at all.
            Break(false, _from + (int)reader.TokenStartIndex);
            return;
        }

        _state = reader.CurrentState;
        int consumed = _from + (int)reader.BytesConsumed;
        Place(consumed);
        _bytes.AsSpan(consumed, _length - consumed).CopyTo(_bytes);
        _length -= consumed;
        _placed = 0;
        if (_length > LongestToken)
            Break(false, 0);
    }

    private void Break(bool isEnd, int at)
    {
        int rest = _bytes.AsSpan(at, _length - at).IndexOfAnyExcept(" \t\r\n"u8);
        // At the end of the text the last of it is where it breaks off; elsewhere what stands there is wrong.
        bool isOff = isEnd && (rest < 0 || IsPrefix(_bytes.AsSpan(at + rest, _length - at - rest)));
        _findings.Add(isOff ? GraphFinding.BrokenOff : GraphFinding.BrokenJson, Place(isOff ? _length : at + Math.Max(rest, 0)));
        IsBroken = true;
    }

    // What could go on if the text did: a text without its closing mark, or a number or word cut short.
    private static bool IsPrefix(ReadOnlySpan<byte> rest) =>
        rest[0] == '"' || rest[0] is (byte)',' or (byte)':' || !rest.ContainsAny(s_ends);

    private TextSpan Place(int at, int length = 0)
    {
        ReadOnlySpan<byte> passed = _bytes.AsSpan(_placed, at - _placed);
        int last = passed.LastIndexOf((byte)'\n');
        if (last >= 0)
        {
            _line += passed.Count((byte)'\n');
            _column = 1;
            passed = passed[(last + 1)..];
        }

        _column += CharCount(passed);
        _placed = at;
        return new TextSpan(_line, _column, length);
    }

    private static int CharCount(ReadOnlySpan<byte> utf8) => Ascii.IsValid(utf8) ? utf8.Length : Encoding.UTF8.GetCharCount(utf8);

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Token(ref Utf8JsonReader reader)
    {
        switch (reader.TokenType)
        {
            case JsonTokenType.PropertyName:
                _property = Property(ref reader);
                break;
            case JsonTokenType.StartObject or JsonTokenType.StartArray:
                _parts.Add(Inside(reader.TokenType == JsonTokenType.StartObject));
                if (_parts[^1] is Part.Task or Part.Run)
                    Begin(Place(_from + (int)reader.TokenStartIndex));
                break;
            case JsonTokenType.EndObject or JsonTokenType.EndArray:
                Part ended = _parts[^1];
                _parts.RemoveAt(_parts.Count - 1);
                if (_hasEnded)
                    _hasEnded = false;
                else if (ended == Part.Task)
                    EndTask();
                else if (ended == Part.Run)
                    EndRun();
                break;
            default:
                Value(ref reader);
                break;
        }
    }

    // Only names that mean something are worth a text of their own.
    private static string Property(ref Utf8JsonReader reader)
    {
        foreach ((string name, byte[] bytes) in s_properties)
        {
            if (reader.ValueIsEscaped ? reader.ValueTextEquals(bytes) : reader.ValueSpan.SequenceEqual(bytes))
                return name;
        }

        return "";
    }

    private Part Inside(bool isObject)
    {
        if (_parts.Count == 0)
            return isObject ? Part.File : Part.Other;
        return (_parts[^1], _property, isObject) switch
        {
            (Part.File, "workflow", true) => Part.Workflow,
            (Part.Workflow, "specification", true) => Part.Specification,
            (Part.Workflow, "execution", true) => Part.Execution,
            (Part.Specification, "tasks", false) => Part.Tasks,
            (Part.Execution, "tasks", false) => Part.Runs,
            (Part.Tasks, _, true) => Part.Task,
            (Part.Runs, _, true) => Part.Run,
            (Part.Task, "parents", false) => Part.Parents,
            (Part.Task, "children", false) => Part.Children,
            _ => Part.Other,
        };
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Value(ref Utf8JsonReader reader)
    {
        if (_parts.Count == 0)
            return;
        switch (_parts[^1], _property)
        {
            case (Part.Parents, _) or (Part.Children, _):
                int named = Named(ref reader);
                if (named < 0)
                    _findings.Add(GraphFinding.NoId, At(ref reader));
                else
                    (_parts[^1] == Part.Parents ? _taskParents : _taskChildren).Add(named);
                break;
            case (Part.Task, "id") or (Part.Run, "id"):
                int id = Named(ref reader);
                if (id < 0)
                    break;
                _taskAt = At(ref reader);
                _name = id;
                break;
            case (Part.Run, "runtimeInSeconds"):
                _secondsAt = At(ref reader);
                _seconds = reader.TokenType == JsonTokenType.Number && reader.TryGetDouble(out double plain) && plain is >= 0 and < 1e100
                    ? plain
                    : GraphAssembly.Seconds(Word(ref reader), 1, _secondsAt, _findings) ?? 0;
                break;
            case (Part.Run, "coreCount"):
                if (reader.TokenType == JsonTokenType.Number && reader.TryGetDouble(out double cores))
                    _cores = cores;
                break;
            case (Part.Execution, "makespanInSeconds"):
                if (reader.TokenType == JsonTokenType.Number && reader.TryGetDouble(out double makespan) && makespan >= 0 && double.IsFinite(makespan))
                    MakespanSeconds = makespan;
                break;
            case (Part.File, "name"):
                TraceName = Word(ref reader).ToString();
                break;
            case (Part.File, "schemaVersion"):
                TextSpan schemaAt = At(ref reader);
                if (reader.TokenType != JsonTokenType.String || !reader.ValueTextEquals("1.5"))
                    _findings.Add(GraphFinding.OtherSchema, schemaAt, Word(ref reader));
                break;
            default:
                break;
        }
    }

    private void Begin(TextSpan at)
    {
        _name = -1;
        _taskAt = at;
        _seconds = null;
        _cores = 1;
        _taskParents.Clear();
        _taskChildren.Clear();
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void EndTask()
    {
        if (_name < 0)
        {
            _findings.Add(GraphFinding.NoId, _taskAt);
            return;
        }

        _assembly.Declare(_name, _taskAt);
        foreach (int parent in _taskParents)
            _assembly.Edge(parent, _name, _taskAt);
        foreach (int child in _taskChildren)
        {
            _listedParents.Add(_name);
            _listedChildren.Add(child);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void EndRun()
    {
        if (_name < 0)
        {
            _findings.Add(GraphFinding.NoId, _taskAt);
            return;
        }

        if (_seconds is { } seconds)
        {
            if (_assembly.HasSeconds(_name))
                _findings.Add(GraphFinding.MeasuredTwice, _secondsAt, _assembly.NameOf(_name));
            else
                _assembly.SetSeconds(_name, seconds);
        }

        if (_cores > 1)
            _findings.Add(GraphFinding.SeveralCores, _taskAt, _assembly.NameOf(_name), _cores.ToString(CultureInfo.InvariantCulture));
    }
}
