using System.Collections.Concurrent;
using MathNet.Numerics.Integration;

namespace Capacityplan.Core.Jobs;

/// <summary>The mean of the largest of n independent draws, from the chance S(x) that a draw exceeds x.</summary>
/// <remarks>E max = integral over x from 0 of 1 - (1 - S(x))^n, taken over the logarithm of x so that heavy tails cost no more.</remarks>
internal static class LongestOfMany
{
    private const int Panels = 128;

    /// <summary>More means than the jobs worked on at once ask for.</summary>
    private const int MostRemembered = 4_096;
    private static readonly GaussLegendreRule s_rule = new(0, 1, 16);

    /// <summary>A page asks for the same mean with every change of anything, and a sensitivity study thousands of times.</summary>
    private static readonly ConcurrentDictionary<(TaskSizes Sizes, long Count), double> s_remembered = new();

    /// <summary>The mean of the largest, seconds.</summary>
    /// <param name="sizes">The distribution drawn from, which has a survival that falls from 1 to 0 for x above 0 and is equal only to its like.</param>
    /// <param name="typical">A duration of usual size, seconds, where the search for both ends starts; above 0.</param>
    /// <param name="count">n; 1 or more.</param>
    public static double Mean(TaskSizes sizes, double typical, long count)
    {
        if (s_remembered.TryGetValue((sizes, count), out double known))
            return known;
        double mean = Integrate(sizes, typical, count);
        if (s_remembered.Count >= MostRemembered)
            s_remembered.Clear();
        return s_remembered[(sizes, count)] = mean;
    }

    private static double Integrate(TaskSizes sizes, double typical, long count)
    {
        double Exceeds(double x) => -NearOne.ExpLessOne(count * NearOne.LogOfOneLess(sizes.Survival(x)));
        // Below the lower end the integrand is 1 to the last digit, or the whole stretch is too short to matter.
        double low = Edge(x => Exceeds(x) >= 1 - 1e-16 || x < typical * 1e-18, typical, upwards: false);
        double high = Edge(x => Exceeds(x) * x <= 1e-14 * typical, typical, upwards: true);
        double from = Math.Log(low);
        double width = (Math.Log(high) - from) / Panels;
        double sum = 0;
        for (int panel = 0; panel < Panels; panel++)
        {
            for (int i = 0; i < s_rule.Order; i++)
            {
                double x = Math.Exp(from + (panel + s_rule.Abscissas[i]) * width);
                sum += s_rule.Weights[i] * Exceeds(x) * x;
            }
        }

        return low + sum * width;
    }

    // Doubles or halves until the condition holds, then bisects the ratio towards where it starts to.
    private static double Edge(Func<double, bool> holds, double start, bool upwards)
    {
        double beyond = start;
        while (!holds(beyond))
            beyond = upwards ? beyond * 2 : beyond / 2;
        double within = upwards ? beyond / 2 : beyond * 2;
        if (beyond == start)
        {
            // It already held at the start: walk back to where it no longer does.
            while (holds(within) && within > start * 1e-12 && within < start * 1e12)
                (beyond, within) = (within, upwards ? within / 2 : within * 2);
        }

        for (int i = 0; i < 30; i++)
        {
            double middle = Math.Sqrt(beyond * within);
            if (holds(middle))
                beyond = middle;
            else
                within = middle;
        }

        return beyond;
    }
}
