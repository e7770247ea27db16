namespace Capacityplan.Core.Laws;

/// <summary>
/// How fine to split a loop of equal units: coarse leaves keep cores waiting for the last one, fine ones fork too often.
/// </summary>
/// <remarks>
/// Derived here. N units of x seconds are halved until a leaf holds g of them. There are about N/g leaves, so about N/g
/// forks and joins of o seconds together: the work is N x + (N/g) o. The longest chain is one leaf and the forks and joins
/// above it, g x + o log2(N/g). Work over p plus span bounds a greedy run:
/// <code>T(g) = (N x + (N/g) o)/p + g x + o log2(N/g)</code>
/// Its slope is -N o/(p g^2) + x - o/(g ln 2). Setting that to 0 and multiplying by g^2 gives x g^2 - (o/ln 2) g - N o/p = 0,
/// whose positive root is
/// <code>g = (o/ln 2 + sqrt((o/ln 2)^2 + 4 x N o/p))/(2 x)</code>
/// T is convex for g above 0 (its second derivative, 2 N o/(p g^3) + o/(g^2 ln 2), is positive), so this is the one minimum.
/// With many units a core the first term under the root is small and g is near sqrt(N o/(p x)), at most o/(x ln 2) above it.
/// Limits: equal units; uneven ones want a finer grain. Steals are not counted. The curve is flat about the best, so a
/// factor of 2 either way costs little. On one core T counts a wait there is not, and not splitting at all is best.
/// </remarks>
public static class GrainSize
{
    /// <summary>T(g), seconds.</summary>
    /// <param name="units">N, units in the loop; 1 or more.</param>
    /// <param name="unitSeconds">x, seconds a unit; above 0.</param>
    /// <param name="forkJoinSeconds">o, seconds of one fork and its join together; 0 or more.</param>
    /// <param name="cores">p, cores' worth; 1 or more.</param>
    /// <param name="grain">g, units in a leaf; from 1 to N.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double Seconds(double units, double unitSeconds, double forkJoinSeconds, double cores, double grain)
    {
        RequireLoop(units, unitSeconds, forkJoinSeconds, cores);
        Require.Within(grain, 1, units);
        double leaves = units / grain;
        return (units * unitSeconds + leaves * forkJoinSeconds) / cores
            + grain * unitSeconds + forkJoinSeconds * Math.Log2(leaves);
    }

    /// <summary>The g from 1 to N at which T(g) is least, units; not rounded.</summary>
    /// <param name="units">N, units in the loop; 1 or more.</param>
    /// <param name="unitSeconds">x, seconds a unit; above 0.</param>
    /// <param name="forkJoinSeconds">o, seconds of one fork and its join together; 0 or more.</param>
    /// <param name="cores">p, cores' worth; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double Best(double units, double unitSeconds, double forkJoinSeconds, double cores)
    {
        RequireLoop(units, unitSeconds, forkJoinSeconds, cores);
        // In units of x, so that seconds as small as nanoseconds are not squared.
        double forkJoinUnits = forkJoinSeconds / unitSeconds;
        double half = forkJoinUnits / (2 * Math.Log(2));
        return Math.Clamp(half + Math.Sqrt(half * half + units * forkJoinUnits / cores), 1, units);
    }

    private static void RequireLoop(double units, double unitSeconds, double forkJoinSeconds, double cores)
    {
        Require.AtLeast(units, 1);
        Require.Positive(unitSeconds);
        Require.NotNegative(forkJoinSeconds);
        Require.AtLeast(cores, 1);
    }
}
