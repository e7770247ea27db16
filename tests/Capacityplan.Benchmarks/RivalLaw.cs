using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.Optimization;

namespace Capacityplan.Benchmarks;

/// <summary>
/// A single law fitted to log-times by plain least squares, parameters 0 or more: what a forecast has to beat.
/// </summary>
/// <param name="Name">Its name.</param>
/// <param name="Parameters">How many parameters it has besides T1; 1 or 2.</param>
/// <param name="Shape">T(p)/T1 from the parameters and p.</param>
internal sealed record RivalLaw(string Name, int Parameters, Func<double[], double, double> Shape)
{
    /// <summary>A/p + B, which is also (T1 - T_inf)/p + T_inf.</summary>
    public static RivalLaw Amdahl { get; } = new("Amdahl", 1, (x, p) => 1 / p + x[0] * (1 - 1 / p));

    /// <summary>Contention and coherency; two core counts do not determine it.</summary>
    public static RivalLaw Universal { get; } = new("universal law", 2, (x, p) => (1 + x[0] * (p - 1) + x[1] * p * (p - 1)) / p);

    /// <summary>The work and the span law as if they were met: the larger of T1/p and T_inf.</summary>
    public static RivalLaw WorkSpan { get; } = new("work/span", 1, (x, p) => Math.Max(1 / p, x[0]));

    /// <summary>Fits.</summary>
    /// <param name="points">Core counts and seconds.</param>
    /// <returns>The forecast, seconds, against cores.</returns>
    public Func<double, double> Fit(IReadOnlyList<(double Cores, double Seconds)> points)
    {
        double Level(double[] x) => points.Average(point => Math.Log(point.Seconds / Shape(x, point.Cores)));
        double Loss(double[] x)
        {
            double level = Level(x);
            return points.Sum(point => Math.Pow(Math.Log(point.Seconds / Shape(x, point.Cores)) - level, 2));
        }

        double[] best = new double[Parameters];
        double least = Loss(best);
        foreach (double start in (double[])[1e-4, 1e-3, 1e-2, 0.1, 0.5])
        {
            // Along an edge where one parameter is 0, and inside; in logarithms, so that none turns negative.
            foreach (int[] free in Parameters == 1 ? (int[][])[[0]] : [[0], [1], [0, 1]])
            {
                double[] At(Vector<double> logs)
                {
                    double[] x = new double[Parameters];
                    for (int i = 0; i < free.Length; i++)
                        x[free[i]] = Math.Exp(Math.Clamp(logs[i], -30, 0));
                    return x;
                }

                Vector<double> guess = Vector<double>.Build.Dense(free.Length, i => Math.Log(free[i] == 0 ? start : start / 10));
                double[] found;
                try
                {
                    found = At(NelderMeadSimplex.Minimum(ObjectiveFunction.Value(logs => Loss(At(logs))), guess, 1e-10, 2_000).MinimizingPoint);
                }
                catch (MaximumIterationsException)
                {
                    // Flat towards a parameter of 0, which the edges cover.
                    continue;
                }

                if (Loss(found) < least)
                    (best, least) = (found, Loss(found));
            }
        }

        double oneCore = Math.Exp(Level(best));
        return cores => oneCore * Shape(best, cores);
    }
}
