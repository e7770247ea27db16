namespace Capacityplan.Core.Reading;

/// <summary>Reads an input size: a number, with a multiple (50k, 2 million, 1.5M) or an amount of memory behind it, or a share.</summary>
internal static class SizeText
{
    public static bool TryRead(ReadOnlySpan<char> text, out double size)
    {
        text = text.Trim().TrimEnd("x×");
        if (NumberText.TryRead(text, out size))
            return size > 0;
        if (text is [.., '%'] && ShareText.TryRead(text, BareShare.Percent, out size))
            return size > 0;

        var length = DurationText.NumberLength(text, isWhole: true);
        if (length == 0 || !NumberText.TryRead(text[..length], out size))
            return false;
        size *= Multiple(text[length..].Trim());
        return size > 0 && double.IsFinite(size);
    }

    private static double Multiple(ReadOnlySpan<char> word) => word switch
    {
        "k" or "K" or "kB" or "KB" or "thousand" => 1e3,
        "KiB" => 1L << 10,
        "M" or "MB" or "million" => 1e6,
        "MiB" => 1L << 20,
        "G" or "GB" or "billion" => 1e9,
        "GiB" => 1L << 30,
        "T" or "TB" => 1e12,
        "TiB" => 1L << 40,
        _ => 1,
    };
}
