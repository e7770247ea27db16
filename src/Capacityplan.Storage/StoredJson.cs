using System.Diagnostics.CodeAnalysis;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Unicode;

namespace Capacityplan.Storage;

/// <summary>
/// The form drafts and catalogues are kept in: JSON, camelCase. Reading is strict. A member this version does not know is
/// refused and not skipped, because a later save would lose it without a word.
/// </summary>
public static class StoredJson
{
    /// <summary>The options of everything stored.</summary>
    public static JsonSerializerOptions Options { get; } = MakeOptions();

    internal static string Write<T>(T value) => JsonSerializer.Serialize(value, Options);

    /// <summary>Reads a stored text; one that cannot be read comes back whole, with the reason.</summary>
    internal static bool TryRead<T>(string text, [NotNullWhen(true)] out T? value, [NotNullWhen(false)] out Unreadable? unreadable)
        where T : class
    {
        try
        {
            value = JsonSerializer.Deserialize<T>(text, Options);
            unreadable = value is null ? new Unreadable(text, "It is empty: the stored text is 'null'.") : null;
        }
        // ArgumentException: a figure outside the range its record allows. NotSupportedException: a kind left out.
        catch (Exception exception) when (exception is JsonException or ArgumentException or NotSupportedException)
        {
            value = null;
            unreadable = new Unreadable(text, exception.Message);
        }

        return value is not null;
    }

    private static JsonSerializerOptions MakeOptions()
    {
        var options = new JsonSerializerOptions(JsonSerializerOptions.Strict)
        {
            PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
            // A file edited by hand may have "kind" after the other members.
            AllowOutOfOrderMetadataProperties = true,
            // Letters of every language stay legible in the database; what HTML minds is still escaped.
            Encoder = JavaScriptEncoder.Create(UnicodeRanges.All),
        };
        options.MakeReadOnly(populateMissingResolver: true);
        return options;
    }
}

/// <summary>A stored text that could not be read.</summary>
/// <param name="Text">The text, exactly as it is stored.</param>
/// <param name="Why">The reason, in one sentence.</param>
public sealed record Unreadable(string Text, string Why);
