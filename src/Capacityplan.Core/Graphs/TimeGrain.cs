namespace Capacityplan.Core.Graphs;

/// <summary>
/// The largest decimal step all durations of a graph are multiples of: 5 s, 0.1 s, 1 ms. The best makespan is a sum of
/// durations and so a multiple of it too, which lets a bound be rounded up.
/// </summary>
internal static class TimeGrain
{
    private const double Near = 1e-6;

    /// <summary>The step, seconds; 0 where there is none of a microsecond or more.</summary>
    public static double Of(ReadOnlySpan<double> seconds)
    {
        for (double scale = 1; scale <= 1e6; scale *= 10)
        {
            if (Divisor(seconds, scale) is > 0 and var divisor)
                return divisor / scale;
        }

        return 0;
    }

    /// <summary>The smallest multiple of a step that is not below a bound, rounding aside; the bound itself where there is no step.</summary>
    public static double RoundUp(double bound, double grain) => grain > 0 ? Math.Ceiling(bound / grain - Near) * grain : bound;

    private static long Divisor(ReadOnlySpan<double> seconds, double scale)
    {
        long divisor = 0;
        double sum = 0;
        foreach (double one in seconds)
        {
            double steps = Math.Round(one * scale);
            // What is not 0 has to be at least one step, and their sum small enough to count in steps exactly.
            if (Math.Abs(one * scale - steps) > 1e-9 * Math.Max(1, steps) || (one > 0 && steps == 0) || (sum += steps) > 1e9)
                return 0;
            long left = (long)steps;
            while (left != 0)
                (divisor, left) = (left, divisor % left);
        }

        return divisor;
    }
}
