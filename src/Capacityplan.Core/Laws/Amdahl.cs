namespace Capacityplan.Core.Laws;

/// <summary>Speedup of a job of fixed size of which a share s runs on one core only and the rest on all.</summary>
/// <remarks>
/// G. M. Amdahl, "Validity of the Single Processor Approach to Achieving Large Scale Computing Capabilities",
/// AFIPS Spring Joint Computer Conference, 1967. Limits: the input stays the same, the rest divides evenly, and nothing is
/// added by running on more cores; with those gone it is the time T1 ((1 - s)/p + s), the work and span picture.
/// </remarks>
public static class Amdahl
{
    /// <summary>S = 1/(s + (1 - s)/p); from 1 to p.</summary>
    /// <param name="serialFraction">s, share of the one-core run that is serial; from 0 to 1.</param>
    /// <param name="cores">p, cores' worth; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double Speedup(double serialFraction, double cores)
    {
        Require.Within(serialFraction, 0, 1);
        Require.AtLeast(cores, 1);
        return 1 / (serialFraction + (1 - serialFraction) / cores);
    }

    /// <summary>The speedup no number of cores exceeds, 1/s; 1 or more, null where s is 0 and nothing bounds it.</summary>
    /// <param name="serialFraction">s, share of the one-core run that is serial; from 0 to 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">The share is NaN or outside its range.</exception>
    public static double? Limit(double serialFraction) =>
        Require.Within(serialFraction, 0, 1) > 0 ? 1 / serialFraction : null;
}
