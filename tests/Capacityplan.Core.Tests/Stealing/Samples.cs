using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Stealing;

/// <summary>A mean, a spread and how well they are known.</summary>
internal readonly record struct Sampled(double Mean, double Deviation, double MeanError, double LogDeviationError)
{
    public static Sampled Of(IReadOnlyCollection<double> values)
    {
        double n = values.Count;
        double mean = values.Sum() / n;
        double second = values.Sum(value => Math.Pow(value - mean, 2)) / n;
        double fourth = values.Sum(value => Math.Pow(value - mean, 4)) / n;
        double deviation = Math.Sqrt(second * n / (n - 1));
        // The variance of the logarithm of a sample's standard deviation is (kurtosis - 1)/(4 n) to first order.
        double logDeviationError = second > 0 ? Math.Sqrt(Math.Max(0.01, fourth / (second * second) - 1) / (4 * n)) : 0;
        return new Sampled(mean, deviation, deviation / Math.Sqrt(n), logDeviationError);
    }

    /// <summary>Standard errors between two means.</summary>
    public double MeanDistance(Sampled other)
    {
        double error = Math.Sqrt(MeanError * MeanError + other.MeanError * other.MeanError);
        double difference = Mean - other.Mean;
        // What never varies has to agree to the last digits.
        return Math.Abs(difference) <= 1e-9 * Math.Abs(Mean) ? 0 : difference / error;
    }

    /// <summary>Standard errors between two spreads; 0 where neither varies.</summary>
    public double SpreadDistance(Sampled other)
    {
        if (Deviation <= 1e-9 * Math.Abs(Mean) && other.Deviation <= 1e-9 * Math.Abs(Mean))
            return 0;
        return Math.Log(Deviation / other.Deviation)
            / Math.Sqrt(LogDeviationError * LogDeviationError + other.LogDeviationError * other.LogDeviationError);
    }
}

/// <summary>Short ways to simulate one phase.</summary>
internal static class Simulated
{
    public static SimulatedPool Pool(ParallelPhase phase, int workers, int replicates, int seed = 1, double speed = 1) =>
        PoolSimulation.Run(
            new JobStructure([phase]), [new WorkerPool(workers, speed)], new SimulationSettings { Replicates = replicates, Seed = seed })[0];

    public static Sampled Of(SimulatedPool pool, Func<SimulatedRun, double> figure) => Sampled.Of([.. pool.Runs.Select(figure)]);
}
