using Capacityplan.Core.Graphs;

namespace Capacityplan.Core.Reading;

/// <summary>Reads a task graph out of a text that comes in blocks: finds its form, parts it into lines, keeps only the last.</summary>
internal sealed class TaskGraphScan
{
    // A row may list a million parents; one that is longer than this is something else.
    private const int LongestLine = 1 << 26;

    private readonly GraphFindings _findings = new();
    private PlainGraphRows? _rows;
    private GraphTable? _table;
    private WorkflowTrace? _trace;
    private char[] _text = new char[1 << 17];
    private int _length;
    // How far the line that is open has been searched for its end.
    private int _searched;
    private int _line = 1;
    private bool _isBegun;
    private bool _isText;
    private bool _isFull;

    /// <summary>Tasks read so far.</summary>
    public int Count => _rows?.Count ?? _table?.Count ?? _trace?.Count ?? 0;

    /// <summary>True once the rest of the text would change nothing.</summary>
    public bool IsFull => _isFull || (_rows?.IsFull ?? _table?.IsFull ?? _trace?.IsFull ?? false);

    /// <summary>Takes the next block of the text.</summary>
    public void Feed(ReadOnlySpan<char> block)
    {
        if (!_isBegun && block.StartsWith("\uFEFF", StringComparison.Ordinal))
            block = block[1..];
        _isBegun |= !block.IsEmpty;
        if (!_isText && _trace is null)
        {
            int first = block.IndexOfAnyExcept(" \t\r\n");
            if (first >= 0 && block[first] is '{' or '[')
            {
                _trace = new WorkflowTrace(_findings);
                // What stands before counts for its line and column.
                _trace.Feed(_text.AsSpan(0, _length));
            }

            _isText = first >= 0 && _trace is null;
        }

        if (_trace is not null)
        {
            _trace.Feed(block);
            return;
        }

        if (_length + block.Length > _text.Length)
            Array.Resize(ref _text, Math.Max(2 * _text.Length, _length + block.Length));
        block.CopyTo(_text.AsSpan(_length));
        _length += block.Length;
        if (_isText)
            Lines(isEnd: false);
    }

    /// <summary>The graph, once all blocks have been taken.</summary>
    public TaskGraphReading Complete()
    {
        if (_trace is null)
            Lines(isEnd: true);
        TaskGraph? graph = _isFull ? null
            : _trace is not null ? _trace.Complete()
            : _rows is not null ? _rows.Complete()
            : (_table ?? new GraphTable(_findings)).Complete();
        return new TaskGraphReading
        {
            Graph = graph,
            Format = _trace is not null ? TaskGraphFormat.WorkflowTrace : _rows is not null ? TaskGraphFormat.PlainText : TaskGraphFormat.Table,
            Problems = _findings.Problems(),
            IsMalformed = _trace?.IsBroken ?? false,
            Name = _trace?.TraceName,
            RecordedMakespanSeconds = _trace?.MakespanSeconds,
        };
    }

    private void Lines(bool isEnd)
    {
        int start = 0;
        while (!IsFull)
        {
            ReadOnlySpan<char> rest = _text.AsSpan(start, _length - start);
            int end = rest[_searched..].IndexOfAny('\r', '\n');
            end = end < 0 ? -1 : end + _searched;
            // A carriage return at the end of a block may have its line feed in the next.
            if (end < 0 || !isEnd && rest[end] == '\r' && end + 1 == rest.Length)
            {
                _searched = end < 0 ? rest.Length : end;
                if (rest.Length > LongestLine)
                {
                    _findings.Add(GraphFinding.LongLine, new TextSpan(_line, 1, 0));
                    _isFull = true;
                }
                else if (isEnd)
                {
                    Line(rest);
                }

                break;
            }

            Line(rest[..end]);
            _searched = 0;
            start += end + (rest[end] == '\r' && end + 1 < rest.Length && rest[end + 1] == '\n' ? 2 : 1);
            _line++;
        }

        _text.AsSpan(start, _length - start).CopyTo(_text);
        _length -= start;
    }

    private void Line(ReadOnlySpan<char> text)
    {
        if (_rows is not null)
            _rows.Line(text, _line);
        else if (_table is not null)
            _table.Line(text, _line);
        else
            First(text);
    }

    // Empty lines and comments may come before whatever shows the form.
    private void First(ReadOnlySpan<char> text)
    {
        ReadOnlySpan<char> word = text.Trim();
        if (word.IsEmpty || word[0] == '#')
            return;
        if (word.ContainsAnyExceptInRange('0', '9'))
        {
            _table = new GraphTable(_findings);
            _table.Line(text, _line);
        }
        else
        {
            _rows = new PlainGraphRows(_findings);
            _rows.Line(text, _line);
        }
    }
}
