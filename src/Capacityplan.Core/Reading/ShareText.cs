namespace Capacityplan.Core.Reading;

/// <summary>What a bare number means where a share is asked for.</summary>
public enum BareShare
{
    /// <summary>Percent: 1 is 0.01. For blanks that show a percent sign.</summary>
    Percent,

    /// <summary>The share itself: 0.01 is 0.01.</summary>
    Share,
}

/// <summary>Reads a share: 1 %, 1%, 2.5 percent, 3 ‰, 1 in 14, 1/14, or a bare number.</summary>
public static class ShareText
{
    /// <summary>Reads a share as a fraction.</summary>
    /// <param name="text">The text; spaces around it are ignored.</param>
    /// <param name="bare">What a number without a sign or word means.</param>
    /// <param name="share">The share as a fraction, 0.01 for 1 %; finite, and not held to any range, since growth may be negative.</param>
    /// <returns>False where the text is not a share.</returns>
    public static bool TryRead(ReadOnlySpan<char> text, BareShare bare, out double share)
    {
        text = text.Trim();
        foreach (var (ending, whole) in (ReadOnlySpan<(string, double)>)[("%", 100), ("‰", 1000), ("percent", 100), ("per cent", 100), ("pct", 100)])
        {
            if (text.EndsWith(ending, StringComparison.OrdinalIgnoreCase))
                return TryRatio(text[..^ending.Length], whole, out share);
        }

        foreach (var between in (ReadOnlySpan<string>)[" in ", "/", " of ", " out of "])
        {
            var at = text.IndexOf(between, StringComparison.OrdinalIgnoreCase);
            if (at > 0 && NumberText.TryRead(text[(at + between.Length)..], out var whole))
                return TryRatio(text[..at], whole, out share);
        }

        return TryRatio(text, bare == BareShare.Percent ? 100 : 1, out share);
    }

    private static bool TryRatio(ReadOnlySpan<char> part, double whole, out double share)
    {
        var isNumber = NumberText.TryRead(part, out var value);
        share = isNumber ? value / whole : 0;
        return isNumber && double.IsFinite(share);
    }
}
