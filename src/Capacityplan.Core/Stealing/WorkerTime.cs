namespace Capacityplan.Core.Stealing;

/// <summary>What a worker's time went into, clock seconds, each 0 or more.</summary>
/// <param name="Work">Units of parallel phases.</param>
/// <param name="Overhead">Forks, joins and combines.</param>
/// <param name="Stealing">Steals that succeeded, cold caches included.</param>
/// <param name="Idle">Looking for something to steal.</param>
/// <param name="Waking">Not yet awake at the start of a parallel phase.</param>
/// <param name="Serial">Serial phases it ran.</param>
/// <param name="Waiting">Serial phases another worker ran.</param>
public readonly record struct WorkerTime(
    double Work = 0, double Overhead = 0, double Stealing = 0, double Idle = 0, double Waking = 0, double Serial = 0, double Waiting = 0)
{
    /// <summary>All of it, seconds.</summary>
    public double TotalSeconds => Work + Overhead + Stealing + Idle + Waking + Serial + Waiting;

    /// <summary>Adds two, part by part.</summary>
    public static WorkerTime operator +(WorkerTime left, WorkerTime right) => new(
        left.Work + right.Work, left.Overhead + right.Overhead, left.Stealing + right.Stealing, left.Idle + right.Idle,
        left.Waking + right.Waking, left.Serial + right.Serial, left.Waiting + right.Waiting);
}
