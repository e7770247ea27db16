using System.Collections;
using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.Unicode;

namespace Capacityplan.Web.Api;

/// <summary>
/// Reads a JSON body into a request shape. Where a serialiser stops at the first value of the wrong kind, this notes each
/// with its path, leaves the field empty and goes on. What a field may hold is said by its <see cref="ShapeField"/>.
/// </summary>
internal ref struct ShapeReader
{
    /// <summary>A name or value from the request is repeated in a message up to so many characters.</summary>
    private const int MostRepeated = 60;

    private readonly RequestFindings _findings;
    private readonly List<(string? Name, int Item)> _path = [];
    private Utf8JsonReader _json;

    private ShapeReader(ReadOnlySpan<byte> utf8, RequestFindings findings)
    {
        _json = new Utf8JsonReader(utf8);
        _findings = findings;
    }

    /// <summary>Reads a body.</summary>
    /// <param name="utf8">The body.</param>
    /// <param name="findings">Receives what is wrong with it.</param>
    /// <returns>What was read; null where the body is not an object.</returns>
    public static T? Read<T>(ReadOnlySpan<byte> utf8, RequestFindings findings)
        where T : class
    {
        if (utf8.StartsWith("\uFEFF"u8))
            utf8 = utf8["\uFEFF"u8.Length..];
        if (!Utf8.IsValid(utf8))
        {
            (int line, int column) = PlaceOf(utf8, FirstInvalid(utf8));
            findings.Malformed(null, line, column, "The bytes here are no text in UTF-8.");
            return null;
        }

        var reader = new ShapeReader(utf8, findings);
        try
        {
            reader._json.Read();
            object? value = reader.Value(typeof(T), field: null);
            // The reader refuses whatever follows the value.
            if (!findings.IsFull)
                reader._json.Read();
            return (T?)value;
        }
        catch (JsonException malformed)
        {
            int start = LineStart(utf8, malformed.LineNumber ?? 0);
            (int line, int column) = PlaceOf(utf8, start + (int)(malformed.BytePositionInLine ?? 0));
            findings.Malformed(reader.Path, line, column, $"This is not JSON: {Reason(malformed)}");
            return null;
        }
    }

    private readonly string? Path
    {
        get
        {
            if (_path.Count == 0)
                return null;
            var path = new StringBuilder();
            foreach ((string? name, int item) in _path)
            {
                if (name is null)
                    path.Append(CultureInfo.InvariantCulture, $"[{item}]");
                else
                    path.Append(path.Length > 0 ? "." : "").Append(name);
            }

            return path.ToString();
        }
    }

    private object? Value(Type type, ShapeField? field)
    {
        if (type == typeof(JsonElement))
            return JsonElement.ParseValue(ref _json);
        if (type == typeof(string))
            return Text(field);
        if (type == typeof(bool))
            return _json.TokenType is JsonTokenType.True or JsonTokenType.False ? _json.GetBoolean() : Refuse("true or false");
        if (type == typeof(int) || type == typeof(long) || type == typeof(double) || type == typeof(decimal))
            return Number(type, field);
        return ShapeField.ItemType(type) is { } item ? Items(item, field) : Object(type);
    }

    private object? Object(Type type)
    {
        if (_json.TokenType != JsonTokenType.StartObject)
            return Refuse("an object");
        Shape shape = Shape.Of(type);
        object made = shape.Create();
        var given = new HashSet<string>(StringComparer.Ordinal);
        string? unknown = null;
        while (_json.Read() && _json.TokenType != JsonTokenType.EndObject)
        {
            string name = _json.TokenType == JsonTokenType.PropertyName ? TextOrNull() ?? "?" : "?";
            _path.Add((Shorten(name), 0));
            _json.Read();
            if (shape.Find(name) is not { } field)
            {
                unknown ??= Shorten(name);
                UnknownField(shape, name);
            }
            else if (!given.Add(name))
            {
                _findings.Error(Path, "It is given twice; leave one out.");
                _json.Skip();
            }
            else
            {
                Field(made, field);
            }

            _path.RemoveAt(_path.Count - 1);
            if (_findings.IsFull)
                return null;
        }

        foreach (ShapeField field in shape.Required.Where(field => !given.Contains(field.Name)))
        {
            _path.Add((field.Name, 0));
            _findings.Error(Path, unknown is null ? "It is missing." : $"It is missing; \"{unknown}\" beside it is not a field of this API.");
            _path.RemoveAt(_path.Count - 1);
        }

        return made;
    }

    private void Field(object owner, ShapeField field)
    {
        if (_json.TokenType == JsonTokenType.Null)
        {
            // The same as a field that is not there.
            if (field.IsRequired)
                _findings.Error(Path, "It is null; it has to be given.");
        }
        else if (Value(field.Type, field) is { } value)
        {
            field.Set(owner, value);
        }
    }

    private void UnknownField(Shape shape, string name)
    {
        ShapeField? meant = shape.FindAnyCase(name);
        string message = meant is null
            ? "This API does not know the field; it was left out."
            : $"This API does not know the field; it was left out. Capital letters count: \"{meant.Name}\" is known.";
        string? path = Path;
        _findings.UnknownField(() => path!, message);
        _json.Skip();
    }

    private IList? Items(Type item, ShapeField? field)
    {
        if (_json.TokenType != JsonTokenType.StartArray)
        {
            Refuse("an array");
            return null;
        }

        var items = (IList)Activator.CreateInstance(typeof(List<>).MakeGenericType(item))!;
        Type plain = Nullable.GetUnderlyingType(item) ?? item;
        int count = 0;
        while (_json.Read() && _json.TokenType != JsonTokenType.EndArray)
        {
            if (++count > field?.MostItems)
            {
                _json.Skip();
                continue;
            }

            _path.Add((null, count - 1));
            // What limits a list of texts is how many there are, not how long they are.
            object? value = Value(plain, plain == typeof(string) ? null : field);
            _path.RemoveAt(_path.Count - 1);
            if (_findings.IsFull)
                return null;
            // A place is kept for an item that is refused, so that the others keep theirs.
            items.Add(value ?? (item.IsValueType ? Activator.CreateInstance(item) : null));
        }

        if (count > field?.MostItems)
            _findings.Error(Path, FormattableString.Invariant($"It holds {count:#,0} items; {field.MostItems:#,0} are the most."));
        if (count < field?.LeastItems)
            _findings.Error(Path, FormattableString.Invariant($"It holds {count:#,0} items; {field.LeastItems:#,0} is the least."));
        return items;
    }

    private string? Text(ShapeField? field)
    {
        if (_json.TokenType != JsonTokenType.String)
        {
            Refuse("a text in quotation marks");
            return null;
        }

        if (TextOrNull() is not { } text)
        {
            _findings.Error(Path, "It holds half a character: an escape such as \\ud83d needs its other half beside it.");
            return null;
        }

        if (field?.Objection(text) is not { } objection)
            return text;
        _findings.Error(Path, $"It is \"{Shorten(text)}\"; {objection}.");
        return null;
    }

    private object? Number(Type type, ShapeField? field)
    {
        if (_json.TokenType != JsonTokenType.Number)
            return Refuse(_json.TokenType == JsonTokenType.String ? "a number, without quotation marks" : "a number");

        bool isWhole = type == typeof(int) || type == typeof(long);
        double number = _json.GetDouble();
        object? value = null;
        string? objection = null;
        if (!double.IsFinite(number))
            objection = "it is too large";
        else if (isWhole && number != Math.Truncate(number))
            objection = "it has to be a whole number";
        else if (field?.Objection(number) is { } outside)
            objection = outside;
        else if (type == typeof(double))
            value = number;
        else if (type == typeof(decimal))
            value = _json.TryGetDecimal(out decimal exact) ? exact : null;
        else if (type == typeof(long))
            value = Math.Abs(number) <= 1L << 53 ? (long)number : null;
        else
            value = number is >= int.MinValue and <= int.MaxValue ? (int)number : null;

        if (value is null)
            _findings.Error(Path, $"It is {Shorten(Raw())}; {objection ?? "it is too large for this field"}.");
        return value;
    }

    /// <summary>Notes a value of the wrong kind and passes over it.</summary>
    private object? Refuse(string wanted)
    {
        string found = _json.TokenType switch
        {
            JsonTokenType.StartObject => "an object",
            JsonTokenType.StartArray => "an array",
            JsonTokenType.String => $"the text \"{Shorten(TextOrNull() ?? "")}\"",
            _ => Shorten(Raw()),
        };
        _findings.Error(Path, $"It is {found}; it has to be {wanted}.");
        _json.Skip();
        return null;
    }

    /// <summary>The text of a string or a name; null where an escape in it is half a character.</summary>
    private readonly string? TextOrNull()
    {
        try
        {
            return _json.GetString();
        }
        catch (InvalidOperationException)
        {
            return null;
        }
    }

    private readonly string Raw() => Encoding.UTF8.GetString(_json.ValueSpan);

    private static string Shorten(string text)
    {
        if (text.Length <= MostRepeated)
            return text;
        int end = char.IsHighSurrogate(text[MostRepeated - 1]) ? MostRepeated - 1 : MostRepeated;
        return text[..end] + "…";
    }

    /// <summary>The parser's reason without the place it repeats in its own counting.</summary>
    private static string Reason(JsonException malformed)
    {
        int place = malformed.Message.IndexOf(" LineNumber:", StringComparison.Ordinal);
        return place < 0 ? malformed.Message : malformed.Message[..place];
    }

    private static int LineStart(ReadOnlySpan<byte> utf8, long line)
    {
        int start = 0;
        for (; line > 0; line--)
            start += utf8[start..].IndexOf((byte)'\n') + 1;
        return start;
    }

    private static int FirstInvalid(ReadOnlySpan<byte> utf8)
    {
        int at = 0;
        while (Rune.DecodeFromUtf8(utf8[at..], out _, out int length) == System.Buffers.OperationStatus.Done)
            at += length;
        return at;
    }

    /// <summary>Line and column, from 1, of a byte.</summary>
    private static (int Line, int Column) PlaceOf(ReadOnlySpan<byte> utf8, int at)
    {
        ReadOnlySpan<byte> before = utf8[..Math.Min(at, utf8.Length)];
        int start = before.LastIndexOf((byte)'\n') + 1;
        return (before.Count((byte)'\n') + 1, Encoding.UTF8.GetCharCount(before[start..]) + 1);
    }
}
