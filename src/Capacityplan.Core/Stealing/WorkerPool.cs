namespace Capacityplan.Core.Stealing;

/// <summary>The workers of a pool and how fast each of them is.</summary>
public readonly record struct WorkerPool
{
    /// <summary>The most workers that are simulated.</summary>
    public const int MostWorkers = 1 << 16;

    /// <summary>States the pool.</summary>
    /// <param name="workers">p, workers; from 1 to <see cref="MostWorkers"/>.</param>
    /// <param name="workerSpeed">
    /// Speed of every worker in parallel phases, as a share of a core to itself: effective cores over p where workers share
    /// cores; above 0, at most 1.
    /// </param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN or outside its range.</exception>
    public WorkerPool(int workers, double workerSpeed = 1)
    {
        Require.Within(workers, 1, MostWorkers);
        Workers = workers;
        WorkerSpeed = Require.Within(Require.Positive(workerSpeed), 0, 1);
    }

    /// <summary>p, workers; 1 or more.</summary>
    public int Workers { get; }

    /// <summary>Speed of every worker in parallel phases, as a share of a core to itself; above 0, at most 1.</summary>
    public double WorkerSpeed { get; }
}
