using System.Collections;
using System.Collections.Concurrent;
using System.Globalization;
using System.Linq.Expressions;
using System.Reflection;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using Plotly.Blazor;
using PlotlyLayout = Plotly.Blazor.Layout;

namespace Capacityplan.Web.Components.Charts;

/// <summary>
/// Writes a figure as the plotting script takes it, in the same members as the plotting component would. That one looks up
/// every member's attributes anew for every object it writes, which takes longer than working out what is drawn.
/// </summary>
public static class FigureJson
{
    private static readonly JsonSerializerOptions s_enumOptions = new() { DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull };
    private static readonly JsonWriterOptions s_writing = new() { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping, SkipValidation = true };
    private static readonly ConcurrentDictionary<Type, Member[]> s_members = new();
    private static readonly ConcurrentDictionary<Enum, string> s_words = new();

    /// <summary>Traces and layout as an object with "data" and "layout".</summary>
    /// <param name="data">The traces.</param>
    /// <param name="layout">The layout.</param>
    public static string Write(IEnumerable<ITrace> data, PlotlyLayout layout)
    {
        using var text = new MemoryStream();
        using (var writer = new Utf8JsonWriter(text, s_writing))
        {
            writer.WriteStartObject();
            writer.WritePropertyName("data");
            Value(writer, data);
            writer.WritePropertyName("layout");
            Value(writer, layout);
            writer.WriteEndObject();
        }

        return Encoding.UTF8.GetString(text.GetBuffer(), 0, (int)text.Length);
    }

    private static void Value(Utf8JsonWriter writer, object? value)
    {
        switch (value)
        {
            case null:
                writer.WriteNullValue();
                break;
            case string text:
                writer.WriteStringValue(text);
                break;
            case bool flag:
                writer.WriteBooleanValue(flag);
                break;
            case double number:
                writer.WriteNumberValue(number);
                break;
            case decimal number:
                writer.WriteNumberValue(number);
                break;
            case int number:
                writer.WriteNumberValue(number);
                break;
            case Enum word:
                writer.WriteRawValue(s_words.GetOrAdd(word, known => JsonSerializer.Serialize<object>(known, s_enumOptions)), skipInputValidation: true);
                break;
            case IEnumerable items:
                writer.WriteStartArray();
                foreach (object? item in items)
                    Value(writer, item);
                writer.WriteEndArray();
                break;
            default:
                Members(writer, value);
                break;
        }
    }

    private static void Members(Utf8JsonWriter writer, object value)
    {
        writer.WriteStartObject();
        foreach (Member member in s_members.GetOrAdd(value.GetType(), type => [.. MembersOf(type)]))
        {
            if (member.Get(value) is not { } held || member.GivesWayTo?.Invoke(value) is not null)
                continue;
            if (!member.IsNumbered)
            {
                writer.WritePropertyName(member.Name);
                Value(writer, held);
                continue;
            }

            // Axes: the first is called "xaxis", the second "xaxis2".
            int number = 0;
            foreach (object? one in (IEnumerable)held)
            {
                writer.WritePropertyName(++number == 1 ? member.Name.Value : string.Create(CultureInfo.InvariantCulture, $"{member.Name}{number}"));
                Value(writer, one);
            }
        }

        writer.WriteEndObject();
    }

    private static IEnumerable<Member> MembersOf(Type type)
    {
        foreach (PropertyInfo property in type.GetProperties())
        {
            // What may be one value or a list of them is two properties; the single value has precedence.
            bool isList = property.GetCustomAttribute<ArrayAttribute>() is not null;
            PropertyInfo? single = isList ? type.GetProperty(property.Name.Replace("Array", "", StringComparison.Ordinal)) : null;
            yield return new Member(
                JsonEncodedText.Encode(property.GetCustomAttribute<JsonPropertyNameAttribute>()?.Name ?? property.Name),
                Getter(type, property), single is null ? null : Getter(type, single), property.GetCustomAttribute<SubplotAttribute>() is not null);
        }
    }

    private static Func<object, object?> Getter(Type type, PropertyInfo property)
    {
        ParameterExpression owner = Expression.Parameter(typeof(object));
        Expression value = Expression.Property(Expression.Convert(owner, type), property);
        return Expression.Lambda<Func<object, object?>>(Expression.Convert(value, typeof(object)), owner).Compile();
    }

    /// <summary>A property of a trace, of the layout or of a part of them.</summary>
    /// <param name="Name">Its name in the script.</param>
    /// <param name="Get">Reads it.</param>
    /// <param name="GivesWayTo">Reads the one it is left out for; null where there is none.</param>
    /// <param name="IsNumbered">True where each of its values is a member of its own.</param>
    private sealed record Member(JsonEncodedText Name, Func<object, object?> Get, Func<object, object?>? GivesWayTo, bool IsNumbered);
}
