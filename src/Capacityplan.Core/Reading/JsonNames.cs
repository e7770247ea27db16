using System.Buffers;

namespace Capacityplan.Core.Reading;

/// <summary>Walks through the scalars of JSON, or what people paste for it, with the name before each.</summary>
internal ref struct JsonNames(ReadOnlySpan<char> text, string name)
{
    private static readonly SearchValues<char> s_ends = SearchValues.Create(",]}[{\r\n");

    private readonly ReadOnlySpan<char> _text = text;
    private int _at;

    /// <summary>The last name seen.</summary>
    public string Name { get; private set; } = name;

    /// <summary>Where the scalar stands, without its quotes.</summary>
    public int Start { get; private set; }

    public int Length { get; private set; }

    public readonly ReadOnlySpan<char> Scalar => _text.Slice(Start, Length);

    /// <summary>Goes to the next scalar; false at the end of the text.</summary>
    public bool Next()
    {
        while (_at < _text.Length)
        {
            char symbol = _text[_at];
            if (char.IsWhiteSpace(symbol) || symbol is '[' or ']' or '{' or '}' or ',' or ':')
            {
                _at++;
                continue;
            }

            bool isQuoted = symbol is '"' or '\'';
            Start = isQuoted ? _at + 1 : _at;
            int end = isQuoted ? _text[Start..].IndexOf(symbol) : _text[Start..].IndexOfAny(s_ends);
            Length = end < 0 ? _text.Length - Start : end;
            if (!isQuoted && Scalar.IndexOf(':') is var colon and > 0 && !char.IsDigit(_text[Start]))
                Length = colon;
            _at = Math.Min(_text.Length, Start + Length + (isQuoted ? 1 : 0));
            if (!isQuoted)
                Length = Scalar.TrimEnd().Length;
            int next = _at;
            while (next < _text.Length && char.IsWhiteSpace(_text[next]))
                next++;
            if (next >= _text.Length || _text[next] != ':')
                return true;
            if (!Scalar.SequenceEqual(Name))
                Name = Scalar.ToString();
            _at = next + 1;
        }

        return false;
    }

    /// <summary>The name over the values most likely to be durations; null where values have no names.</summary>
    public static (string Heading, bool OfSeveral, bool IsGuessed)? Choose(string head)
    {
        var values = new Dictionary<string, List<string>>(StringComparer.Ordinal);
        var walk = new JsonNames(head, "");
        while (walk.Next())
        {
            if (walk.Name.Length == 0)
                continue;
            if (!values.TryGetValue(walk.Name, out List<string>? own))
                values[walk.Name] = own = [];
            own.Add(walk.Scalar.ToString());
        }

        string[] names = [.. values.Keys];
        List<SampleColumn> columns = [.. names.Select(name => SampleColumn.Of(name, [.. values[name]], CommaRole.Thousands))];
        return SampleColumn.Choose(columns) is { } choice ? (names[choice.At], names.Length > 1, choice.IsGuessed) : null;
    }
}
