namespace Capacityplan.Core.Laws;

/// <summary>
/// Scaled speedup: the input grows until p cores take as long as one core took before, so only the parallel part grows.
/// </summary>
/// <remarks>
/// J. L. Gustafson, "Reevaluating Amdahl's Law", Communications of the ACM 31(5), 1988. Limits: the serial share is that of
/// the run on p cores, not of the one-core run; it says nothing about a job whose input stays the same.
/// </remarks>
public static class Gustafson
{
    /// <summary>S = p - s (p - 1); from 1 to p.</summary>
    /// <param name="serialFraction">s, share of the run on p cores that is serial; from 0 to 1.</param>
    /// <param name="cores">p, cores' worth; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double Speedup(double serialFraction, double cores)
    {
        Require.Within(serialFraction, 0, 1);
        Require.AtLeast(cores, 1);
        return cores - serialFraction * (cores - 1);
    }

    /// <summary>
    /// The serial share a measured scaled speedup implies, s = (p - S)/(p - 1). Below 0 where the speedup exceeds the cores,
    /// above 1 where more cores were slower: then the law does not describe the measurement.
    /// </summary>
    /// <param name="speedup">S, measured scaled speedup; above 0.</param>
    /// <param name="cores">p, cores' worth; above 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double SerialFraction(double speedup, double cores)
    {
        Require.Positive(speedup);
        Require.Above(cores, 1);
        return (cores - speedup) / (cores - 1);
    }
}
