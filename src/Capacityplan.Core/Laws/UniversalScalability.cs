namespace Capacityplan.Core.Laws;

/// <summary>
/// Capacity relative to one core when cores wait for each other (contention a: locks, a shared queue) and when each must
/// hear of what every other did (coherency b: shared lines moving between caches), which in the end makes it fall.
/// </summary>
/// <remarks>
/// N. J. Gunther, "Guerrilla Capacity Planning", Springer, 2007, chapters 4 to 6. b = 0 is <see cref="Amdahl"/> with a as
/// the serial share. Limits: two parameters fitted to data, so they name a cause only as far as other evidence does; far
/// past the data the peak rests on b alone, which few measurements pin down.
/// </remarks>
public static class UniversalScalability
{
    /// <summary>C(p) = p/(1 + a (p - 1) + b p (p - 1)); 1 at p = 1, above 0.</summary>
    /// <param name="contention">a; 0 or more.</param>
    /// <param name="coherency">b; 0 or more.</param>
    /// <param name="cores">p, cores' worth; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double Capacity(double contention, double coherency, double cores)
    {
        Require.NotNegative(contention);
        Require.NotNegative(coherency);
        Require.AtLeast(cores, 1);
        return cores / (1 + contention * (cores - 1) + coherency * cores * (cores - 1));
    }

    /// <summary>
    /// The core count where capacity is largest, sqrt((1 - a)/b), not rounded; 1 where one core is best already. Null where
    /// b is 0 and a below 1: capacity then rises with every core.
    /// </summary>
    /// <param name="contention">a; 0 or more.</param>
    /// <param name="coherency">b; 0 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double? PeakCores(double contention, double coherency)
    {
        Require.NotNegative(contention);
        Require.NotNegative(coherency);
        if (contention >= 1)
            return 1;
        return coherency > 0 ? Math.Max(1, Math.Sqrt((1 - contention) / coherency)) : null;
    }

    /// <summary>
    /// The largest capacity any core count reaches: that at <see cref="PeakCores"/>, or where there is no peak the limit 1/a.
    /// 1 or more; null where a and b are 0 and nothing bounds it.
    /// </summary>
    /// <param name="contention">a; 0 or more.</param>
    /// <param name="coherency">b; 0 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double? PeakCapacity(double contention, double coherency)
    {
        if (PeakCores(contention, coherency) is { } peakCores)
            return Capacity(contention, coherency, peakCores);
        return contention > 0 ? 1 / contention : null;
    }
}
