namespace Capacityplan.Core.Jobs;

/// <summary>exp(x) - 1 and log(1 - s) to the last digits, where plain arithmetic or a series cut short would lose them.</summary>
/// <remarks>
/// The device of W. Kahan, in N. J. Higham, "Accuracy and Stability of Numerical Algorithms", SIAM 2002, section 1.14.1: the
/// rounding error of the inner step is divided out again.
/// </remarks>
internal static class NearOne
{
    /// <summary>exp(x) - 1.</summary>
    public static double ExpLessOne(double x)
    {
        double rounded = Math.Exp(x);
        return rounded == 1 ? x : rounded - 1 == -1 || double.IsInfinity(rounded) ? rounded - 1 : (rounded - 1) * x / Math.Log(rounded);
    }

    /// <summary>log(1 - s).</summary>
    public static double LogOfOneLess(double s)
    {
        double rounded = 1 - s;
        return rounded == 1 ? -s : rounded <= 0 ? double.NegativeInfinity : Math.Log(rounded) * (-s / (rounded - 1));
    }
}
