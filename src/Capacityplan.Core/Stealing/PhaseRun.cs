namespace Capacityplan.Core.Stealing;

/// <summary>What came out of one run of a parallel phase on a pool; clock seconds.</summary>
internal readonly record struct PhaseRun
{
    public required double MakespanSeconds { get; init; }

    /// <summary>All units.</summary>
    public required double UsefulSeconds { get; init; }

    /// <summary>All forks, joins and combines.</summary>
    public required double OverheadSeconds { get; init; }

    /// <summary>All steals, refills included.</summary>
    public required double StealingSeconds { get; init; }

    /// <summary>All time spent looking for something to steal, or asleep.</summary>
    public required double IdleSeconds { get; init; }

    public required long Steals { get; init; }

    public required double FailedTries { get; init; }

    public required long StolenUnits { get; init; }

    public required long Pops { get; init; }

    public required long PoppedUnits { get; init; }
}
