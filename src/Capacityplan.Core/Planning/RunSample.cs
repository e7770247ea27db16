using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.Statistics;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// Nights spread evenly over all that may come: a curve, how the run scatters about it, and when its first interruption comes.
/// </summary>
/// <remarks>
/// The three are a Kronecker sequence with the powers of the root of x^4 = x + 1 (H. Niederreiter, "Random Number Generation
/// and Quasi-Monte Carlo Methods", SIAM 1992, on such sequences). What interruptions make of a quantile is taken as the ratio
/// of the sample's with them to the sample's without, times the exact one without: a control variate, exact where there are
/// no interruptions.
/// </remarks>
internal sealed class RunSample
{
    /// <summary>Nights where interruptions are rare, and where they make most of what is not known.</summary>
    private const int Few = 500, Many = 2_000;

    /// <summary>They are rare below so many a run.</summary>
    private const double Rare = 0.25;

    private const double Root = 1.220744084605759475;

    private static readonly double[] s_curve = Sequence(1 / Root);
    private static readonly double[] s_deviate = [.. Sequence(1 / (Root * Root)).Select(share => Normal.InvCDF(0, 1, share))];
    private static readonly double[] s_first = Sequence(1 / (Root * Root * Root));

    private readonly double[] _seconds;
    private readonly Lazy<double[]> _few;
    private readonly Lazy<double[]> _many;

    /// <param name="drawSeconds">Times of the curves, seconds.</param>
    /// <param name="logNoise">Standard deviation of the logarithm of a run about its curve.</param>
    public RunSample(double[] drawSeconds, double logNoise)
    {
        double[] ordered = [.. drawSeconds];
        Array.Sort(ordered);
        _seconds = new double[Many];
        for (int night = 0; night < Many; night++)
            _seconds[night] = ordered[(int)(s_curve[night] * ordered.Length)] * Exp(logNoise * s_deviate[night]);
        _few = new(() => [.. _seconds.Take(Few).Order()]);
        _many = new(() => [.. _seconds.Order()]);
    }

    /// <summary>The band of a run with interruptions, seconds; no figure above <see cref="PurchaseOption.MostHeldSeconds"/>.</summary>
    /// <param name="runs">The interruptions.</param>
    /// <param name="uninterrupted">The band without them, seconds.</param>
    /// <param name="share">The central share both hold.</param>
    /// <param name="factor">The run's time, times the sample's; above 0.</param>
    public Band Interrupted(InterruptedRuns runs, Band uninterrupted, double share, double factor)
    {
        RandomSource random = runs.Source(1);
        double[] sorted = (runs.Interruptions.ExpectedCount(uninterrupted.Median) < Rare ? _few : _many).Value;
        double[] finished = new double[sorted.Length];
        for (int night = 0; night < finished.Length; night++)
            finished[night] = Min(PurchaseOption.MostHeldSeconds, runs.FinishSeconds(_seconds[night] * factor, runs.FirstInterruption(s_first[night]), random));
        double median = Quantile(0.5, uninterrupted.Median);
        return new(
            median, Min(median, Quantile(0.5 - 0.5 * share, uninterrupted.Low)), Max(median, Quantile(0.5 + 0.5 * share, uninterrupted.High)));

        double Quantile(double at, double exact) =>
            Clamp(exact * Selected(finished, at) / (At(sorted, at) * factor), exact, Max(exact, PurchaseOption.MostHeldSeconds));
    }

    /// <summary>As <see cref="At"/>, of times in any order: picking a few is quicker than sorting all. Moves them about.</summary>
    private static double Selected(double[] times, double share)
    {
        double place = Clamp(share * times.Length - 0.5, 0, times.Length - 1);
        int low = Min((int)place, times.Length - 2);
        // Ranks are counted from 1.
        double below = ArrayStatistics.OrderStatisticInplace(times, low + 1), above = ArrayStatistics.OrderStatisticInplace(times, low + 2);
        return below + (place - low) * (above - below);
    }

    private static double At(double[] sorted, double share)
    {
        double place = Clamp(share * sorted.Length - 0.5, 0, sorted.Length - 1);
        int low = Min((int)place, sorted.Length - 2);
        return sorted[low] + (place - low) * (sorted[low + 1] - sorted[low]);
    }

    private static double[] Sequence(double step) =>
        [.. Enumerable.Range(1, Many).Select(night => (0.5 + night * step) % 1)];
}
