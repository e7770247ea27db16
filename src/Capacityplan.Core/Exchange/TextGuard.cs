namespace Capacityplan.Core.Exchange;

/// <summary>
/// Keeps a spreadsheet from taking a text for a formula: in delimited text one that begins with =, +, -, @ or a tab is
/// written after an apostrophe, which is taken off when it is read.
/// </summary>
/// <remarks>The apostrophe is common practice, no source.</remarks>
internal static class TextGuard
{
    /// <summary>The text as it is written.</summary>
    public static string Given(string text) => IsFormulaLike(text) ? "'" + text : text;

    /// <summary>The text as it was before it was written.</summary>
    public static string Taken(string text) => text.StartsWith('\'') && IsFormulaLike(text) ? text[1..] : text;

    /// <summary>A formula's first sign, after any number of apostrophes, so that guarding twice can be undone twice.</summary>
    private static bool IsFormulaLike(string text) =>
        text.AsSpan().TrimStart('\'') is [var first, ..] && first is '=' or '+' or '-' or '@' or '\t' or '\r';
}
