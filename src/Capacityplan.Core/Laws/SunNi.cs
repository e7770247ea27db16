namespace Capacityplan.Core.Laws;

/// <summary>
/// Memory-bounded speedup: with p cores comes p times the memory, and the input grows to fill it. By how much the parallel
/// work grows with it is G(p); G = 1 is <see cref="Amdahl"/>, G = p is <see cref="Gustafson"/>.
/// </summary>
/// <remarks>
/// X.-H. Sun and L. M. Ni, "Another View on Parallel Speedup", Supercomputing, 1990. With G = p the grown run takes
/// s + (1 - s) = 1 on p cores, so s is Gustafson's share too, and S = s + (1 - s) p = p - s (p - 1). Limits: those of both.
/// </remarks>
public static class SunNi
{
    /// <summary>S = (s + (1 - s) G)/(s + (1 - s) G/p).</summary>
    /// <param name="serialFraction">s, share of the unscaled one-core run that is serial; from 0 to 1.</param>
    /// <param name="cores">p, cores' worth; 1 or more.</param>
    /// <param name="scaledWork">G(p), parallel work of the grown input over that of the first; above 0. Above p where work
    /// grows faster than memory, as with dense matrix products.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double Speedup(double serialFraction, double cores, double scaledWork)
    {
        Require.Within(serialFraction, 0, 1);
        Require.AtLeast(cores, 1);
        Require.Positive(scaledWork);
        double parallel = (1 - serialFraction) * scaledWork;
        return (serialFraction + parallel) / (serialFraction + parallel / cores);
    }
}
