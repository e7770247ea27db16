namespace Capacityplan.Core.Fitting;

/// <summary>One measured run: so many cores, so many seconds.</summary>
public sealed record Timing
{
    /// <summary>The largest core count a timing or a forecast may name.</summary>
    public const int MostCores = 1_000_000;

    /// <summary>States a measured run.</summary>
    /// <param name="cores">Number of cores (workers, one to a core) it ran on; from 1 to <see cref="MostCores"/>.</param>
    /// <param name="seconds">Wall time, seconds; above 0 and finite.</param>
    /// <param name="sitting">The sitting it was measured in; rows of one core count with the same sitting share that sitting's error. Null where not said.</param>
    /// <param name="size">Input size relative to the planned run; above 0 and finite.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public Timing(int cores, double seconds, int? sitting = null, double size = 1)
    {
        Require.Within(cores, 1, MostCores, nameof(cores));
        Cores = cores;
        Seconds = Require.Positive(seconds);
        Sitting = sitting;
        Size = Require.Positive(size);
    }

    /// <summary>Number of cores; from 1 to <see cref="MostCores"/>.</summary>
    public int Cores { get; }

    /// <summary>Wall time, seconds; above 0.</summary>
    public double Seconds { get; }

    /// <summary>The sitting it was measured in; null where not said.</summary>
    public int? Sitting { get; }

    /// <summary>Input size relative to the planned run; above 0, 1 for the planned size.</summary>
    public double Size { get; }
}
