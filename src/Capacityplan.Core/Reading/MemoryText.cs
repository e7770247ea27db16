namespace Capacityplan.Core.Reading;

/// <summary>
/// Reads an amount of memory in GiB (2^30 bytes): 24, 24 GiB, 24 GB, 512 MiB, 1.5 TiB, 1,500 MB.
/// </summary>
/// <remarks>
/// A bare number counts GiB. KiB, MiB, GiB, TiB and the single letters K, M, G, T are powers of 1024 (the letters: common
/// practice, no source); kB, MB, GB, TB are powers of 1000. Letter case does not matter.
/// </remarks>
public static class MemoryText
{
    private const double Gibibyte = 1L << 30;

    /// <summary>Reads an amount of memory.</summary>
    /// <param name="text">The text; spaces around it are ignored.</param>
    /// <param name="gibibytes">The amount, GiB; 0 or more and finite.</param>
    /// <returns>False where the text is not an amount of memory, or is below 0.</returns>
    public static bool TryRead(ReadOnlySpan<char> text, out double gibibytes)
    {
        gibibytes = 0;
        text = text.Trim();
        var digits = text.LastIndexOfAnyInRange('0', '9') + 1;
        if (digits == 0 || !NumberText.TryRead(text[..digits], out var amount) || !TryUnit(text[digits..].Trim(), out var bytes))
            return false;
        gibibytes = amount * (bytes / Gibibyte);
        return gibibytes >= 0 && double.IsFinite(gibibytes);
    }

    private static bool TryUnit(ReadOnlySpan<char> unit, out double bytes)
    {
        Span<char> lower = stackalloc char[8];
        var length = unit.Length <= lower.Length ? unit.ToLowerInvariant(lower) : 0;
        bytes = lower[..length] switch
        {
            "" => unit.IsEmpty ? Gibibyte : double.NaN,
            "b" or "byte" or "bytes" => 1,
            "kb" => 1e3,
            "mb" => 1e6,
            "gb" => 1e9,
            "tb" => 1e12,
            "k" or "ki" or "kib" => 1L << 10,
            "m" or "mi" or "mib" => 1L << 20,
            "g" or "gi" or "gib" => Gibibyte,
            "t" or "ti" or "tib" => 1L << 40,
            _ => double.NaN,
        };
        return double.IsFinite(bytes);
    }
}
