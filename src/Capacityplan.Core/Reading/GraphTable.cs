using System.Buffers;
using System.Runtime.CompilerServices;
using Capacityplan.Core.Graphs;

namespace Capacityplan.Core.Reading;

/// <summary>
/// A table of tasks: id, seconds, parents, parted by commas, tabs or semicolons. Fields may stand in quotation marks, with line
/// breaks in them and quotation marks written twice (Y. Shafranovich, RFC 4180, 2005). A heading may put the columns in another
/// order and name a unit; other columns are not used.
/// </summary>
internal sealed class GraphTable
{
    private const int MostColumns = 256;
    private const int LongestRecord = 1 << 26;

    private static readonly SearchValues<char> s_spaces = SearchValues.Create(" \t\r\n");

    private readonly GraphFindings _findings;
    private readonly GraphAssembly _assembly;
    // Where the fields of a row begin and how long they are, in the row itself or, where it has quotation marks, in _plain.
    private readonly (int Start, int Length, TextSpan At)[] _fields = new (int, int, TextSpan)[MostColumns];
    private char[] _plain = [];
    private int _count;
    private char _delimiter;
    private GraphColumns? _columns;
    // A row that goes on over several lines.
    private char[] _open = [];
    private int _openLength;
    private int _openLine;
    private bool _isFull;

    public GraphTable(GraphFindings findings)
    {
        _findings = findings;
        _assembly = new GraphAssembly(findings);
    }

    public int Count => _assembly.Count;

    public bool IsFull => _isFull || _assembly.IsFull;

    public void Line(ReadOnlySpan<char> text, int line)
    {
        int marks = text.Count('"');
        if (_openLine == 0 && marks == 0)
        {
            Row(text, line);
            return;
        }

        bool isOdd = marks % 2 != 0;
        if (_openLine == 0 && !isOdd)
        {
            Row(text, line);
            return;
        }

        if (_openLine == 0)
        {
            _openLine = line;
            _openLength = 0;
            Keep(text);
            return;
        }

        Keep("\n");
        Keep(text);
        if (isOdd)
        {
            int first = _openLine;
            _openLine = 0;
            Row(_open.AsSpan(0, _openLength), first);
        }
        else if (_openLength > LongestRecord)
        {
            OpenQuote();
            _isFull = true;
        }
    }

    /// <summary>The graph; null where anything is wrong.</summary>
    public TaskGraph? Complete()
    {
        if (_openLine > 0)
            OpenQuote();
        return _assembly.Complete();
    }

    private void OpenQuote()
    {
        // Of an odd number of marks the last on the first line is the one that opens.
        ReadOnlySpan<char> record = _open.AsSpan(0, _openLength);
        int end = record.IndexOf('\n');
        int at = (end < 0 ? record : record[..end]).LastIndexOf('"');
        _findings.Add(GraphFinding.OpenQuote, new TextSpan(_openLine, at + 1, 1));
    }

    private void Keep(ReadOnlySpan<char> text)
    {
        if (_openLength + text.Length > _open.Length)
            Array.Resize(ref _open, Math.Max(2 * _open.Length, _openLength + text.Length));
        text.CopyTo(_open.AsSpan(_openLength));
        _openLength += text.Length;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Row(ReadOnlySpan<char> text, int line)
    {
        if (text.IsWhiteSpace())
            return;
        if (_delimiter == 0)
            _delimiter = text.Contains(',') ? ',' : text.Contains('\t') ? '\t' : ';';
        ReadOnlySpan<char> source = text;
        if (!text.Contains('"'))
        {
            SplitPlain(text, line);
        }
        else
        {
            if (_plain.Length < text.Length)
                _plain = new char[text.Length];
            if (!SplitQuoted(text, line))
                return;
            source = _plain;
        }

        if (_columns is null)
        {
            string[] cells = new string[_count];
            for (int i = 0; i < _count; i++)
                cells[i] = source.Slice(_fields[i].Start, _fields[i].Length).ToString();
            _columns = GraphColumns.Of(cells, Array.ConvertAll(_fields[.._count], field => field.At), _findings);
            if (_columns.IsBroken)
                _isFull = true;
            if (_columns.IsHeading)
                return;
        }

        Task(source, _columns, line);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Task(ReadOnlySpan<char> source, GraphColumns columns, int line)
    {
        for (int i = columns.Count; i < _count; i++)
        {
            if (_fields[i].Length > 0)
            {
                _findings.Add(GraphFinding.ManyFields, _fields[i].At, source.Slice(_fields[i].Start, _fields[i].Length));
                return;
            }
        }

        ReadOnlySpan<char> id = Field(source, columns.Id, line, out TextSpan idAt);
        if (id.IsEmpty)
        {
            _findings.Add(GraphFinding.NoId, idAt);
            return;
        }

        int name = _assembly.Name(id, idAt);
        _assembly.Declare(name, idAt);
        ReadOnlySpan<char> time = Field(source, columns.Seconds, line, out TextSpan timeAt);
        if (time.IsEmpty)
            _findings.Add(GraphFinding.NoDuration, timeAt, id);
        else if (GraphAssembly.Seconds(time, columns.UnitSeconds, timeAt, _findings) is { } seconds)
            _assembly.SetSeconds(name, seconds);
        ReadOnlySpan<char> parents = Field(source, columns.Parents, line, out TextSpan parentsAt);
        bool bySemicolon = parents.Contains(';');
        int at = 0;
        while (at < parents.Length && !IsFull)
        {
            ReadOnlySpan<char> rest = parents[at..];
            int length = bySemicolon ? rest.IndexOf(';') : rest.IndexOfAny(s_spaces);
            length = length < 0 ? rest.Length : length;
            ReadOnlySpan<char> parent = rest[..length].Trim();
            if (!parent.IsEmpty)
            {
                TextSpan parentAt = parentsAt with { Column = parentsAt.Column + at, Length = length };
                _assembly.Edge(_assembly.Name(parent, parentAt), name, parentAt);
            }

            at += length + 1;
        }
    }

    private ReadOnlySpan<char> Field(ReadOnlySpan<char> source, int column, int line, out TextSpan at)
    {
        if (column < 0 || column >= _count)
        {
            at = _count > 0 ? _fields[_count - 1].At with { Column = _fields[_count - 1].At.Column + _fields[_count - 1].Length, Length = 0 } : new TextSpan(line, 1, 0);
            return [];
        }

        at = _fields[column].At;
        return source.Slice(_fields[column].Start, _fields[column].Length);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void SplitPlain(ReadOnlySpan<char> text, int line)
    {
        _count = 0;
        int start = 0;
        while (true)
        {
            int length = text[start..].IndexOf(_delimiter);
            length = length < 0 ? text.Length - start : length;
            if (_count < MostColumns)
                Add(text, start, length, line, start + 1);
            if (start + length >= text.Length)
                return;
            start += length + 1;
        }
    }

    // Leaves the fields in _plain, without their marks.
    private bool SplitQuoted(ReadOnlySpan<char> text, int line)
    {
        _count = 0;
        int written = 0;
        int at = 0;
        int lineStart = 0;
        while (true)
        {
            int begin = written;
            int fieldLine = line;
            while (at < text.Length && text[at] == ' ')
                at++;
            int column = at - lineStart + 1;
            if (at < text.Length && text[at] == '"')
            {
                at++;
                while (at < text.Length && (text[at] != '"' || at + 1 < text.Length && text[at + 1] == '"'))
                {
                    if (text[at] == '\n')
                        (line, lineStart) = (line + 1, at + 1);
                    at += text[at] == '"' ? 1 : 0;
                    _plain[written++] = text[at++];
                }

                at++;
                while (at < text.Length && text[at] == ' ')
                    at++;
                if (at < text.Length && text[at] != _delimiter)
                {
                    _findings.Add(GraphFinding.BrokenQuote, new TextSpan(line, at - lineStart + 1, 1));
                    return false;
                }

                column++;
            }
            else
            {
                while (at < text.Length && text[at] != _delimiter)
                {
                    if (text[at] == '\n')
                        (line, lineStart) = (line + 1, at + 1);
                    _plain[written++] = text[at++];
                }
            }

            if (_count < MostColumns)
                Add(_plain, begin, written - begin, fieldLine, column);
            if (at >= text.Length)
                return true;
            at++;
        }
    }

    private void Add(ReadOnlySpan<char> text, int start, int length, int line, int column)
    {
        ReadOnlySpan<char> field = text.Slice(start, length);
        int before = length - field.TrimStart().Length;
        int trimmed = field.Trim().Length;
        _fields[_count++] = (start + before, trimmed, new TextSpan(line, column + before, trimmed));
    }
}
