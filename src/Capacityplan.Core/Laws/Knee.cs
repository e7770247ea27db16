namespace Capacityplan.Core.Laws;

/// <summary>
/// How bad speedup and efficiency can be together, known from the average parallelism A = T1/T_inf alone. Fewer than A
/// cores leave speedup behind, more waste cores; at p = A, the knee, a greedy schedule keeps at least half of both.
/// </summary>
/// <remarks>
/// D. L. Eager, J. Zahorjan and E. D. Lazowska, "Speedup Versus Efficiency in Parallel Systems", IEEE Transactions on
/// Computers 38(3), 1989. Both floors are the greedy bound (T1 - T_inf)/p + T_inf written with A; they imply E + S/A > 1 for
/// every p. Limits: those of <see cref="WorkSpanLaws"/>.
/// </remarks>
public static class Knee
{
    /// <summary>S >= p A/(p + A - 1); at p = A above A/2.</summary>
    /// <param name="parallelism">A = T1/T_inf; 1 or more.</param>
    /// <param name="cores">p, cores' worth; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double SpeedupFloor(double parallelism, double cores) =>
        Require.AtLeast(cores, 1) * EfficiencyFloor(parallelism, cores);

    /// <summary>E = S/p >= A/(p + A - 1); at p = A above 1/2.</summary>
    /// <param name="parallelism">A = T1/T_inf; 1 or more.</param>
    /// <param name="cores">p, cores' worth; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double EfficiencyFloor(double parallelism, double cores)
    {
        Require.AtLeast(parallelism, 1);
        Require.AtLeast(cores, 1);
        return parallelism / (cores + parallelism - 1);
    }
}
