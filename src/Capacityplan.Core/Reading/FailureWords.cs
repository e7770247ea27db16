using System.Collections.Frozen;

namespace Capacityplan.Core.Reading;

/// <summary>Words people leave beside a run that did not finish.</summary>
internal static class FailureWords
{
    private static readonly FrozenSet<string>.AlternateLookup<ReadOnlySpan<char>> s_words = FrozenSet.Create(
        StringComparer.OrdinalIgnoreCase,
        "killed", "failed", "failure", "fail", "aborted", "crashed", "crash", "timeout", "cancelled", "canceled", "oom", "incomplete",
        "interrupted", "dnf", "abgebrochen", "interrompu", "interrumpido").GetAlternateLookup<ReadOnlySpan<char>>();

    /// <summary>The first such word in a text; null where there is none.</summary>
    public static string? In(ReadOnlySpan<char> text)
    {
        foreach (var range in text.SplitAny(" ,;:.()-[]|\t"))
        {
            if (s_words.Contains(text[range]))
                return text[range].ToString();
        }

        return null;
    }
}
