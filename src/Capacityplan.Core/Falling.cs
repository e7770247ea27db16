using static System.Math;

namespace Capacityplan.Core;

/// <summary>Questions to functions that fall.</summary>
internal static class Falling
{
    /// <summary>The last place where a function that falls still has at least a value, to within a distance.</summary>
    /// <remarks>The secant of the bracket's ends, the kept end's value halved where it is kept again (the Illinois method: M.
    /// Dowell and P. Jarratt, "A modified regula falsi method for computing the root of an equation", BIT 11, 1971; from memory);
    /// in halves where that does not shorten the bracket fast enough, as on a step.</remarks>
    /// <param name="function">Falls or stays level.</param>
    /// <param name="value">The value.</param>
    /// <param name="low">Where the function has at least the value; not asked for.</param>
    /// <param name="high">Where it has less, or where no later place is wanted; above <paramref name="low"/>.</param>
    /// <param name="within">The distance; above 0.</param>
    /// <returns>A place that was asked for and has at least the value, or <paramref name="low"/>.</returns>
    public static double LastAtLeast(Func<double, double> function, double value, double low, double high, double within)
    {
        double? above = null, below = null;
        double halved = high - low;
        int since = 0;
        bool wasLow = false, wasHigh = false;
        while (high - low > within)
        {
            double middle = 0.5 * (low + high), place = middle;
            // A step that falls short of halving the bracket three times over is followed by one that does.
            if (++since > 3 && high - low > 0.5 * halved)
            {
                (since, halved) = (0, high - low);
            }
            else
            {
                if (high - low <= 0.5 * halved)
                    (since, halved) = (0, high - low);
                if (above is { } more && below is { } less && more > less)
                    place = low + (high - low) * (more / (more - less));
                // Beside an end that is the answer already, a step across it closes the bracket.
                place = Clamp(place, low + 0.5 * within, high - 0.5 * within);
            }

            double off = function(place) - value;
            if (off >= 0)
            {
                (low, above) = (place, off);
                if (wasLow)
                    below *= 0.5;
                (wasLow, wasHigh) = (true, false);
            }
            else
            {
                (high, below) = (place, off);
                if (wasHigh)
                    above *= 0.5;
                (wasLow, wasHigh) = (false, true);
            }
        }

        return low;
    }
}
