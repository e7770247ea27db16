using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Reading;

namespace Capacityplan.Web.Plans;

/// <summary>A sample of task durations read, described and fitted.</summary>
/// <param name="Text">The text it was read from.</param>
/// <param name="Reading">What it was understood as.</param>
/// <param name="Summary">What it looks like; null where there is no sample.</param>
/// <param name="Fit">The distributions fitted to it; null where there is no sample.</param>
public sealed record SampleStudy(string Text, SampleReading Reading, TaskSizeSummary? Summary, TaskSizeFit? Fit)
{
    private const ulong Seed = 1;

    /// <summary>The largest file taken, bytes.</summary>
    public const long MostFileBytes = 256L * 1024 * 1024;

    /// <summary>Studies a text.</summary>
    /// <param name="text">The text.</param>
    /// <param name="cancellation">Ends the work early.</param>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static SampleStudy Of(string text, CancellationToken cancellation) =>
        Of(text, SampleReader.Read(text, cancellation: cancellation), cancellation);

    /// <summary>Studies what a text, or the file it stands for, was read as.</summary>
    /// <param name="text">The text.</param>
    /// <param name="reading">What it was understood as.</param>
    /// <param name="cancellation">Ends the work early.</param>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static SampleStudy Of(string text, SampleReading reading, CancellationToken cancellation) => reading.Sizes is { } sizes
        ? new SampleStudy(text, reading, TaskSizeSummary.Of(sizes), TaskSizeFit.Of(sizes, Seed, cancellation))
        : new SampleStudy(text, reading, null, null);
}
