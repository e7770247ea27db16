namespace Capacityplan.Core.Stealing;

/// <summary>One simulated run of a whole job on a pool.</summary>
/// <remarks>
/// Worker time adds up: p x makespan = p x serial + useful + overhead + stealing + idle. Where workers share cores, useful and
/// overhead time are clock time of the slower workers.
/// </remarks>
public readonly record struct SimulatedRun
{
    /// <summary>When the last phase ended, seconds.</summary>
    public required double MakespanSeconds { get; init; }

    /// <summary>T1 of this run: its units, forks, joins, combines and serial phases on one core to itself, seconds.</summary>
    public required double WorkSeconds { get; init; }

    /// <summary>
    /// T_inf of this run on cores to themselves, seconds; where the units of a phase were never drawn one by one, the mean that
    /// <see cref="Jobs.ParallelPhase.SpanSeconds"/> gives.
    /// </summary>
    public required double SpanSeconds { get; init; }

    /// <summary>Length of the serial phases, seconds.</summary>
    public required double SerialSeconds { get; init; }

    /// <summary>Worker time in units of parallel phases, seconds.</summary>
    public required double UsefulSeconds { get; init; }

    /// <summary>Worker time in forks, joins and combines, seconds.</summary>
    public required double OverheadSeconds { get; init; }

    /// <summary>Worker time in steals that succeeded, cold caches included, seconds.</summary>
    public required double StealingSeconds { get; init; }

    /// <summary>Worker time in parallel phases spent looking for something to steal, or not yet awake, seconds.</summary>
    public required double IdleSeconds { get; init; }

    /// <summary>Steals that succeeded.</summary>
    public required long Steals { get; init; }

    /// <summary>Tries that failed: those the run met by name, and the mean number of the others given the run; 0 or more.</summary>
    public required double FailedTries { get; init; }

    /// <summary>Units of all stolen ranges.</summary>
    public required long StolenUnits { get; init; }

    /// <summary>Ranges that the worker that pushed them popped again.</summary>
    public required long Pops { get; init; }

    /// <summary>Units of all popped ranges.</summary>
    public required long PoppedUnits { get; init; }

    /// <summary>What the paid worker time went into.</summary>
    /// <param name="workers">p, workers of the pool it ran on.</param>
    internal TimeShares Shares(int workers)
    {
        double paid = workers * MakespanSeconds;
        // Units may take no time at all; such a run is all work and nothing else.
        if (paid == 0)
            return new TimeShares(1, 0, 0, 0, 0);
        return new TimeShares(
            UsefulSeconds / paid, workers * SerialSeconds / paid, OverheadSeconds / paid, StealingSeconds / paid, IdleSeconds / paid);
    }

    internal SimulatedRun Then(PhaseRun phase, double spanSeconds, double speed) => this with
    {
        MakespanSeconds = MakespanSeconds + phase.MakespanSeconds,
        WorkSeconds = WorkSeconds + (phase.UsefulSeconds + phase.OverheadSeconds) * speed,
        SpanSeconds = SpanSeconds + spanSeconds,
        UsefulSeconds = UsefulSeconds + phase.UsefulSeconds,
        OverheadSeconds = OverheadSeconds + phase.OverheadSeconds,
        StealingSeconds = StealingSeconds + phase.StealingSeconds,
        IdleSeconds = IdleSeconds + phase.IdleSeconds,
        Steals = Steals + phase.Steals,
        FailedTries = FailedTries + phase.FailedTries,
        StolenUnits = StolenUnits + phase.StolenUnits,
        Pops = Pops + phase.Pops,
        PoppedUnits = PoppedUnits + phase.PoppedUnits,
    };

    internal SimulatedRun ThenSerial(double seconds) => this with
    {
        MakespanSeconds = MakespanSeconds + seconds,
        WorkSeconds = WorkSeconds + seconds,
        SpanSeconds = SpanSeconds + seconds,
        SerialSeconds = SerialSeconds + seconds,
    };
}

/// <summary>Shares of the paid worker time p x makespan; they add up to 1.</summary>
/// <param name="Work">Units of parallel phases.</param>
/// <param name="Serial">Serial phases: all workers are paid while one works.</param>
/// <param name="Overhead">Forks, joins and combines.</param>
/// <param name="Stealing">Steals that succeeded, cold caches included.</param>
/// <param name="Idle">Looking for something to steal in parallel phases, or not yet awake.</param>
public readonly record struct TimeShares(double Work, double Serial, double Overhead, double Stealing, double Idle);
