namespace Capacityplan.Core.Reading;

/// <summary>What a <see cref="JsonNode"/> is.</summary>
internal enum JsonNodeKind
{
    /// <summary>A number, text, or word such as null.</summary>
    Scalar,

    Array,
    Object,
}

/// <summary>A value in JSON, with its place.</summary>
/// <param name="Kind">What it is.</param>
/// <param name="Cell">A scalar's text, without quotes; elsewhere a gap at the opening bracket.</param>
/// <param name="Keys">The names in an object, in order.</param>
/// <param name="Items">The values in an object or array, in order.</param>
internal sealed record JsonNode(JsonNodeKind Kind, Cell Cell, IReadOnlyList<Cell> Keys, IReadOnlyList<JsonNode> Items)
{
    /// <summary>The line it ends on.</summary>
    public required PastedLine LastLine { get; init; }
}

/// <summary>
/// Reads JSON and what people paste for it: single quotes, names without quotes, round brackets, commas too many, comments,
/// a text that breaks off. Nesting deeper than any timings need ends the reading.
/// </summary>
/// <param name="lines">The lines; the values begin in the first.</param>
/// <param name="start">Where in the first line they begin.</param>
internal sealed class LooseJson(IReadOnlyList<PastedLine> lines, int start)
{
    private const int MostDepth = 24;

    private int _line;
    private int _at = start;
    private string _text = lines[0].Text;

    /// <summary>Where the text stopped making sense; null where it was read to its end.</summary>
    public TextSpan? BrokenAt { get; private set; }

    /// <summary>
    /// The value at the head of the lines. Several in a row come as an array, or where each has a name before it
    /// ("cores = [1, 2]"), as an object. Null where there is none.
    /// </summary>
    public JsonNode? Read()
    {
        var names = new List<Cell>();
        var nodes = new List<JsonNode>();
        while (BrokenAt is null && SkipTo())
        {
            if (TryName(out var name))
                names.Add(name);
            if (_text[_at] is not ('[' or '{' or '('))
                break;
            nodes.Add(Value(0));
            if (SkipTo() && _text[_at] is ',' or ';')
                _at++;
        }

        return nodes.Count switch
        {
            0 => null,
            1 => nodes[0],
            _ when names.Count == nodes.Count => new JsonNode(JsonNodeKind.Object, nodes[0].Cell, names, nodes) { LastLine = nodes[^1].LastLine },
            _ => new JsonNode(JsonNodeKind.Array, nodes[0].Cell, [], nodes) { LastLine = nodes[^1].LastLine },
        };
    }

    /// <summary>Passes a name that stands before a bracket on the same line.</summary>
    private bool TryName(out Cell name)
    {
        name = default;
        if (!char.IsLetter(_text[_at]))
            return false;
        var end = _text.AsSpan(_at).IndexOfAny('=', ':');
        var bracket = _text.AsSpan(_at).IndexOfAny('[', '{', '(');
        if (end < 0 || bracket < end || !_text.AsSpan(_at + end + 1, bracket - end - 1).IsWhiteSpace())
            return false;
        name = Cell.Between(lines[_line], _at, _at + end);
        _at += bracket;
        return true;
    }

    private JsonNode Value(int depth) => _text[_at] switch
    {
        '[' => Many(depth, ']', isObject: false),
        '(' => Many(depth, ')', isObject: false),
        '{' => Many(depth, '}', isObject: true),
        _ => Scalar(),
    };

    private JsonNode Many(int depth, char close, bool isObject)
    {
        var open = Cell.Gap(lines[_line], _at);
        var keys = new List<Cell>();
        var items = new List<JsonNode>();
        if (depth == MostDepth)
            Break();
        else
            _at++;
        while (BrokenAt is null)
        {
            if (!SkipTo())
            {
                Break();
            }
            else if (_text[_at] == close)
            {
                _at++;
                break;
            }
            else if (_text[_at] == ',')
            {
                _at++;
            }
            else if (_text[_at] is ']' or '}' or ')')
            {
                Break();
            }
            else if (isObject)
            {
                var key = Scalar().Cell;
                if (BrokenAt is not null || !SkipTo() || _text[_at] is not (':' or '='))
                {
                    Break();
                    break;
                }

                _at++;
                if (!SkipTo() || _text[_at] is ',' or ']' or '}' or ')')
                {
                    Break();
                    break;
                }

                keys.Add(key);
                items.Add(Value(depth + 1));
            }
            else
            {
                items.Add(Value(depth + 1));
            }
        }

        return new JsonNode(isObject ? JsonNodeKind.Object : JsonNodeKind.Array, open, keys, items) { LastLine = lines[_line] };
    }

    private JsonNode Scalar()
    {
        var line = lines[_line];
        var from = _at;
        Cell cell;
        if (_text[_at] is '"' or '\'')
        {
            var end = _text.IndexOf(_text[_at], _at + 1);
            if (end < 0)
            {
                Break();
                end = _text.Length;
            }

            cell = Cell.Between(line, from + 1, end);
            _at = Math.Min(_text.Length, end + 1);
        }
        else
        {
            while (_at < _text.Length && _text[_at] is not (',' or ':' or ']' or '}' or ')' or '[' or '{' or '(' or '=' or '"'))
                _at++;

            // "1:23" is a value, "cores: 8" a name.
            while (_at + 1 < _text.Length && _text[_at] == ':' && _at > from && char.IsDigit(_text[_at - 1]) && char.IsDigit(_text[_at + 1]))
            {
                _at++;
                while (_at < _text.Length && (char.IsDigit(_text[_at]) || _text[_at] == '.'))
                    _at++;
            }

            cell = Cell.Between(line, from, _at);
            if (_at == from)
                Break();
        }

        return new JsonNode(JsonNodeKind.Scalar, cell, [], []) { LastLine = line };
    }

    private void Break() => BrokenAt ??= lines[_line].Span(Math.Min(_at, lines[_line].Text.Length), 0);

    /// <summary>Goes to the next character that counts; false at the end of the lines.</summary>
    private bool SkipTo()
    {
        while (true)
        {
            while (_at < _text.Length && char.IsWhiteSpace(_text[_at]))
                _at++;
            if (_at < _text.Length && !(_text[_at] == '/' && _at + 1 < _text.Length && _text[_at + 1] == '/') && _text[_at] != '#')
                return true;
            if (_line + 1 == lines.Count)
            {
                _at = _text.Length;
                return false;
            }

            _line++;
            _at = 0;
            _text = lines[_line].Text;
        }
    }
}
