using System.Buffers;
using System.Runtime.CompilerServices;
using System.Text;
using System.Text.Json;

namespace Capacityplan.Core.Reading;

/// <summary>Names of tasks, which make up most of a trace.</summary>
internal sealed partial class WorkflowTrace
{
    // What ends a text, or keeps it from standing as it is.
    private static readonly SearchValues<byte> s_notPlain = SearchValues.Create(
        [.. Enumerable.Range(0, 0x20).Select(control => (byte)control), (byte)'"', (byte)'\\']);

    /// <summary>Reads a list of names from its beginning to its end, where all of it is here and nothing in it needs the JSON
    /// reader. Anything else, errors too, is left to the reader, from the beginning of the list.</summary>
    /// <param name="at">Where in the bytes the list's first name or end may stand.</param>
    /// <param name="into">Receives the names.</param>
    /// <returns>Where in the bytes the closing bracket stands; -1 where the list is left to the reader.</returns>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private int PlainNames(int at, List<int> into)
    {
        (int placed, int line, int column, int count) = (_placed, _line, _column, into.Count);
        ReadOnlySpan<byte> bytes = _bytes.AsSpan(0, _length);
        int next = PastSpaces(bytes, at);
        bool isFirst = true;
        while (next < bytes.Length)
        {
            if (bytes[next] == (byte)']' && isFirst)
                return next;
            int end = bytes[next] == (byte)'"' ? EndOfPlain(bytes, next + 1) : -1;
            // Empty names are for the reader to tell of.
            if (end <= next + 1 || end >= bytes.Length)
                break;
            into.Add(Named(bytes[(next + 1)..end], next));
            next = PastSpaces(bytes, end + 1);
            if (next >= bytes.Length || IsFull)
                break;
            if (bytes[next] == (byte)']')
                return next;
            if (bytes[next] != (byte)',')
                break;
            next = PastSpaces(bytes, next + 1);
            isFirst = false;
        }

        into.RemoveRange(count, into.Count - count);
        (_placed, _line, _column) = (placed, line, column);
        return -1;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static int PastSpaces(ReadOnlySpan<byte> bytes, int at)
    {
        while (at < bytes.Length && bytes[at] is (byte)' ' or (byte)'\n' or (byte)'\r' or (byte)'\t')
            at++;
        return at;
    }

    /// <summary>Where a text's closing mark stands; the number of bytes where it is not here, -1 where the text is not plain.</summary>
    private static int EndOfPlain(ReadOnlySpan<byte> bytes, int at)
    {
        // Most names are short.
        int most = Math.Min(bytes.Length, at + 12);
        for (int i = at; i < most; i++)
        {
            if (bytes[i] is (byte)'"')
                return i;
            if (bytes[i] is < 0x20 or (byte)'\\')
                return -1;
        }

        int rest = bytes[most..].IndexOfAny(s_notPlain);
        return rest < 0 ? bytes.Length : bytes[most + rest] == (byte)'"' ? most + rest : -1;
    }

    /// <summary>The number of a name between marks, the first of which stands in the bytes at a place.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private int Named(ReadOnlySpan<byte> name, int at)
    {
        if (GraphAssembly.PlainNumber(name) is >= 0 and var plain && _assembly.Known(plain) is >= 0 and var number)
            return number;
        if (_word.Length < name.Length)
            _word = new char[2 * name.Length];
        ReadOnlySpan<char> word = _word.AsSpan(0, Encoding.UTF8.GetChars(name, _word));
        return _assembly.Known(word) is >= 0 and var known ? known : _assembly.Name(word, Place(at, name.Length + 2));
    }

    // A name is met far more often than it is new, and only where it is new does it matter where it stands. -1 where there is none.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private int Named(ref Utf8JsonReader reader)
    {
        if (!reader.ValueIsEscaped && reader.TokenType is JsonTokenType.String or JsonTokenType.Number
            && GraphAssembly.PlainNumber(reader.ValueSpan) is >= 0 and var plain && _assembly.Known(plain) is >= 0 and var number)
        {
            return number;
        }

        ReadOnlySpan<char> word = Word(ref reader);
        if (word.IsEmpty)
            return -1;
        return _assembly.Known(word) is >= 0 and var known ? known : _assembly.Name(word, At(ref reader));
    }

    private TextSpan At(ref Utf8JsonReader reader) =>
        Place(_from + (int)reader.TokenStartIndex, reader.TokenType == JsonTokenType.String ? reader.ValueSpan.Length + 2 : reader.ValueSpan.Length);

    // Empty where the value is neither text nor number.
    private ReadOnlySpan<char> Word(ref Utf8JsonReader reader)
    {
        if (_word.Length < reader.ValueSpan.Length)
            _word = new char[2 * reader.ValueSpan.Length];
        switch (reader.TokenType)
        {
            case JsonTokenType.String:
                return _word.AsSpan(0, reader.CopyString(_word));
            case JsonTokenType.Number:
                return _word.AsSpan(0, Encoding.ASCII.GetChars(reader.ValueSpan, _word));
            default:
                return [];
        }
    }
}
