namespace Capacityplan.Core.Reading;

/// <summary>
/// Reads a task graph from a table of id, seconds and parents (CSV as in RFC 4180, parents parted by semicolons or spaces, the
/// header optional), from the plain text form of the Standard Task Graph Set (T. Tobita and H. Kasahara, "A standard task graph
/// set for fair evaluation of multiprocessor scheduling algorithms", Journal of Scheduling 5(5), 2002), or from a workflow trace
/// (WfFormat JSON, schema 1.5).
/// </summary>
/// <remarks>
/// The beginning of the text shows its form; the text is read as it comes, so that it need not fit in memory. A graph with
/// anything wrong in it is not read: leaving a task out would make another graph of it. Every task is taken as using one core.
/// </remarks>
public static class TaskGraphReader
{
    private const int Block = 1 << 16;

    /// <summary>Reads a graph out of a text; never throws on content.</summary>
    /// <param name="text">The text.</param>
    /// <param name="progress">Told after each piece.</param>
    /// <param name="cancellation">Ends the reading early.</param>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static TaskGraphReading Read(
        string text, IProgress<TaskGraphProgress>? progress = null, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(text);
        var scan = new TaskGraphScan();
        for (int at = 0; at < text.Length && !scan.IsFull; at += Block)
        {
            cancellation.ThrowIfCancellationRequested();
            scan.Feed(text.AsSpan(at, Math.Min(Block, text.Length - at)));
            progress?.Report(new TaskGraphProgress(scan.Count, Math.Min(at + Block, text.Length)));
        }

        return scan.Complete();
    }

    /// <summary>Reads a graph out of a stream of text; never throws on content.</summary>
    /// <param name="reader">The text; read to its end unless it holds more than a graph may have.</param>
    /// <param name="progress">Told after each piece.</param>
    /// <param name="cancellation">Ends the reading early.</param>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static async Task<TaskGraphReading> ReadAsync(
        TextReader reader, IProgress<TaskGraphProgress>? progress = null, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(reader);
        var scan = new TaskGraphScan();
        char[] block = new char[Block];
        long characters = 0;
        while (!scan.IsFull)
        {
            int read = await reader.ReadAsync(block, cancellation);
            if (read == 0)
                break;
            scan.Feed(block.AsSpan(0, read));
            characters += read;
            progress?.Report(new TaskGraphProgress(scan.Count, characters));
        }

        return scan.Complete();
    }
}
