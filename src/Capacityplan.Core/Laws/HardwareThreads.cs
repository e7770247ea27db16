namespace Capacityplan.Core.Laws;

/// <summary>
/// What a second hardware thread on a core adds, as a share of a core. Common practice, no source; it depends on the job,
/// so it is a setting with a range and never counted as a whole core.
/// </summary>
public static class HardwareThreads
{
    /// <summary>Low end of the range commonly met, share of a core.</summary>
    public const double LeastGain = 0.15;

    /// <summary>High end of the range commonly met, share of a core.</summary>
    public const double MostGain = 0.35;

    /// <summary>What is assumed where nothing is known, share of a core.</summary>
    public const double DefaultGain = 0.25;
}
