namespace Capacityplan.Core.Reading;

/// <summary>
/// Reads task durations in whatever shape people have them: one or many a line, parted by commas, semicolons, tabs, bars or
/// spaces; a column of a table; a JSON array of numbers or objects; lines of running text with one duration each; with units
/// on the values, in a heading or not at all; "133 x 12.3 ms" for 133 tasks of that duration.
/// </summary>
/// <remarks>
/// The beginning of the text shows its layout (<see cref="SampleLayout"/>); the rest is read as it comes, so that a file need
/// not fit in memory. A number without a unit counts the heading's unit, else the caller's, else the one unit the other
/// values have, else seconds with a note.
/// </remarks>
public static class SampleReader
{
    /// <summary>The most durations a sample may have; a text with more is refused.</summary>
    public const int MostValues = 2_000_000;

    private const int Block = 1 << 16;

    /// <summary>Reads durations out of a text; never throws on content.</summary>
    /// <param name="text">The text, in any shape.</param>
    /// <param name="unitSeconds">What a number without a unit counts where no heading says so, seconds; null to find out.</param>
    /// <param name="progress">Told after each piece.</param>
    /// <param name="cancellation">Ends the reading early.</param>
    /// <exception cref="ArgumentOutOfRangeException">The unit is NaN, infinite or not above 0.</exception>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static SampleReading Read(
        string text, double? unitSeconds = null, IProgress<SampleProgress>? progress = null, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(text);
        var scan = new SampleScan(unitSeconds);
        for (var at = 0; at < text.Length && !scan.IsFull; at += Block)
        {
            cancellation.ThrowIfCancellationRequested();
            scan.Feed(text.AsSpan(at, Math.Min(Block, text.Length - at)));
            progress?.Report(new SampleProgress(scan.Count, Math.Min(at + Block, text.Length)));
        }

        return scan.Complete();
    }

    /// <summary>Reads durations out of a stream of text; never throws on content.</summary>
    /// <param name="reader">The text, in any shape; read to its end unless it holds too many values.</param>
    /// <param name="unitSeconds">What a number without a unit counts where no heading says so, seconds; null to find out.</param>
    /// <param name="progress">Told after each piece.</param>
    /// <param name="cancellation">Ends the reading early.</param>
    /// <exception cref="ArgumentOutOfRangeException">The unit is NaN, infinite or not above 0.</exception>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static async Task<SampleReading> ReadAsync(
        TextReader reader, double? unitSeconds = null, IProgress<SampleProgress>? progress = null, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(reader);
        var scan = new SampleScan(unitSeconds);
        var block = new char[Block];
        long characters = 0;
        while (!scan.IsFull)
        {
            var read = await reader.ReadAsync(block, cancellation);
            if (read == 0)
                break;
            scan.Feed(block.AsSpan(0, read));
            characters += read;
            progress?.Report(new SampleProgress(scan.Count, characters));
        }

        return scan.Complete();
    }
}
