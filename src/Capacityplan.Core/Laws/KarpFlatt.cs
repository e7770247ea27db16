namespace Capacityplan.Core.Laws;

/// <summary>The experimentally determined serial fraction: what <see cref="Amdahl"/> would need to explain one speedup.</summary>
/// <remarks>
/// A. H. Karp and H. P. Flatt, "Measuring Parallel Processor Performance", Communications of the ACM 33(5), 1990. Read over
/// several core counts: level means serial work, rising means overhead that grows with the cores, falling or negative means
/// that something else (a cache that fits at last) made more cores faster than their number. Limits: close to p = 1 it
/// multiplies the error of the speedup by 1/(1 - 1/p).
/// </remarks>
public static class KarpFlatt
{
    /// <summary>e = (1/S - 1/p)/(1 - 1/p); 0 for S = p, 1 for S = 1, negative where the speedup exceeds the cores.</summary>
    /// <param name="speedup">S, measured speedup against one core; above 0.</param>
    /// <param name="cores">p, cores' worth; above 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double SerialFraction(double speedup, double cores)
    {
        Require.Positive(speedup);
        Require.Above(cores, 1);
        return (1 / speedup - 1 / cores) / (1 - 1 / cores);
    }
}
