using System.Text;

namespace Capacityplan.Storage.Database;

/// <summary>
/// Texts as every database takes them: PostgreSQL refuses U+0000 and halves of surrogate pairs. For what is shown in lists only; what
/// was typed is kept to the letter in JSON, which escapes U+0000.
/// </summary>
internal static class ColumnText
{
    /// <summary>The text with each refused character replaced by U+FFFD.</summary>
    public static string Clean(string text)
    {
        var clean = new StringBuilder(text.Length);
        foreach (Rune rune in text.EnumerateRunes()) // halves of pairs come out of it as U+FFFD
            clean.Append((rune.Value == 0 ? Rune.ReplacementChar : rune).ToString());
        return clean.ToString();
    }

    /// <summary>The text to search in or for, so that case does not matter in either database.</summary>
    public static string ToSearch(string text) => Clean(text).ToLowerInvariant();
}
