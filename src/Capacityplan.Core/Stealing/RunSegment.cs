namespace Capacityplan.Core.Stealing;

/// <summary>What a worker does for a while.</summary>
public enum RunActivity
{
    /// <summary>Runs a range of units: forks, leaves and joins, told apart by time only.</summary>
    Running,

    /// <summary>Busy with a steal that succeeded, cold caches included.</summary>
    Stealing,

    /// <summary>Looks for something to steal.</summary>
    Idle,

    /// <summary>Not yet awake.</summary>
    Waking,

    /// <summary>Runs a serial phase.</summary>
    Serial,

    /// <summary>Has nothing to do while another worker runs a serial phase.</summary>
    Waiting,

    /// <summary>Several of these in a row, each too short to be kept by itself.</summary>
    Mixed,
}

/// <summary>One stretch of one worker's time in a run.</summary>
/// <remarks>
/// A worker runs its range from the first unit on and loses the end of it to thieves: <see cref="Units"/> are those it ran
/// itself, from <see cref="FirstUnit"/> on. Joins it ran for others, having finished last, are part of the stretch.
/// </remarks>
public readonly record struct RunSegment
{
    /// <summary>The worker; from 0.</summary>
    public required int Worker { get; init; }

    /// <summary>The phase, by its place in the job; from 0.</summary>
    public required int Phase { get; init; }

    /// <summary>What the worker did.</summary>
    public required RunActivity Activity { get; init; }

    /// <summary>When it began, seconds since the run began; where the worker's segment before ended, to the last digit.</summary>
    public required double StartSeconds { get; init; }

    /// <summary>When it ended, seconds since the run began.</summary>
    public required double EndSeconds { get; init; }

    /// <summary>What the time went into, adding up to the length to within rounding.</summary>
    public required WorkerTime Time { get; init; }

    /// <summary>First unit of the range; -1 where no single range was run.</summary>
    public long FirstUnit { get; init; }

    /// <summary>Units run; 0 or more.</summary>
    public long Units { get; init; }

    /// <summary>Segments it stands for: 1, and more where they are mixed.</summary>
    public int Merged { get; init; }

    /// <summary>How long it lasted, seconds; above 0.</summary>
    public double Seconds => EndSeconds - StartSeconds;
}

/// <summary>A steal in a run.</summary>
/// <param name="Seconds">When the thief took the range, seconds since the run began.</param>
/// <param name="Phase">The phase, by its place in the job; from 0.</param>
/// <param name="Thief">The worker that took it.</param>
/// <param name="Victim">The worker it was taken from.</param>
/// <param name="Units">Units of the range; 1 or more.</param>
public readonly record struct RunSteal(double Seconds, int Phase, int Thief, int Victim, long Units);

/// <summary>A phase in a run.</summary>
/// <param name="Name">Its name.</param>
/// <param name="IsParallel">Whether the pool ran it.</param>
/// <param name="StartSeconds">When it began, seconds since the run began.</param>
/// <param name="EndSeconds">When it ended, seconds since the run began.</param>
/// <param name="LastWorker">The worker that ended it.</param>
/// <param name="Steals">Steals that succeeded in it.</param>
public readonly record struct RunPhase(
    string Name, bool IsParallel, double StartSeconds, double EndSeconds, int LastWorker, long Steals);
