using Capacityplan.Core.Fitting;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// The core count worth measuring next: the one whose result would narrow the band at the target most, as a linear
/// regression on the curves' log-times says: a run at q takes the share Cov(q, target)^2 / (Var(q) + noise) of the
/// curves' variance at the target away, together with what the discrepancy about the curves at both has in common
/// (<see cref="ScalingForecast.SharedLogVariance"/>). Linear, hence somewhat pessimistic where a run decides between models.
/// </summary>
internal static class MeasurementAdvice
{
    /// <summary>Less than this is not worth a run: what is left then is mostly how runs and sittings differ.</summary>
    private const double LeastShrinkage = 0.05;

    /// <summary>A run past so many times the largest measured count is seldom to be had.</summary>
    public const int FarthestTimes = 4;

    /// <param name="scaling">The job, fitted to timings.</param>
    /// <param name="targetCores">The core count whose band matters.</param>
    public static NextMeasurement? Next(ScalingForecast scaling, int targetCores)
    {
        double measuredUpTo = scaling.MeasuredUpToCores ?? 1;
        double[] target = Logs(scaling, targetCores);
        double noiseAtTarget = Square(scaling.LogNoise(targetCores));
        double varianceAtTarget = Covariance(target, target);
        NextMeasurement? best = null;
        for (int cores = 1; cores <= Min(Timing.MostCores, measuredUpTo * FarthestTimes); cores = NextCandidate(cores))
        {
            double[] here = Logs(scaling, cores);
            double taken = Square(Covariance(here, target) + scaling.SharedLogVariance(cores, targetCores)) / (Covariance(here, here) + Square(scaling.LogNoise(cores)));
            double shrinkage = 1 - Sqrt((varianceAtTarget - taken + noiseAtTarget) / (varianceAtTarget + noiseAtTarget));
            if (shrinkage >= LeastShrinkage && shrinkage > (best?.BandShrinkage ?? 0) + 0.005)
                best = new NextMeasurement(cores, shrinkage);
        }

        return best;
    }

    /// <summary>1, 2, 3, 4, 6, 8, 12, 16 ...: the counts people can run.</summary>
    private static int NextCandidate(int cores) =>
        cores < 4 ? cores + 1 : int.IsPow2(cores) ? cores / 2 * 3 : cores / 3 * 4;

    private static double[] Logs(ScalingForecast scaling, double cores)
    {
        double[] logs = new double[scaling.DrawCount];
        scaling.CurveSeconds(cores, logs);
        for (int draw = 0; draw < logs.Length; draw++)
            logs[draw] = Log(logs[draw]);
        return logs;
    }

    private static double Covariance(double[] a, double[] b) => MathNet.Numerics.Statistics.ArrayStatistics.Covariance(a, b);

    private static double Square(double x) => x * x;
}
