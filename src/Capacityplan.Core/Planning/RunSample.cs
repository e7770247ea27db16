using System.Buffers;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using MathNet.Numerics.Distributions;
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
    private static readonly double[] s_first = [.. Sequence(1 / (Root * Root * Root)).Select(InterruptedRuns.MeansUntil)];

    private readonly double[] _seconds;
    private readonly Lazy<double[]> _few;
    private readonly Lazy<double[]> _many;

    /// <param name="drawSeconds">Times of the curves, seconds.</param>
    /// <param name="logNoise">Standard deviation of the logarithm of a run about its curve.</param>
    public RunSample(double[] drawSeconds, double logNoise)
    {
        double[] ordered = [.. drawSeconds];
        Ranks.Sort(ordered);
        _seconds = new double[Many];
        for (int night = 0; night < Many; night++)
            _seconds[night] = ordered[(int)(s_curve[night] * ordered.Length)] * Exp(logNoise * s_deviate[night]);
        _few = new(() => Sorted(_seconds.AsSpan(0, Few)));
        _many = new(() => Sorted(_seconds));
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
        double[] rented = ArrayPool<double>.Shared.Rent(sorted.Length);
        Span<double> finished = rented.AsSpan(0, sorted.Length);
        runs.FinishSeconds(_seconds, factor, s_first, random, finished, PurchaseOption.MostHeldSeconds);
        ReadOnlySpan<double> shares = [0.5 - 0.5 * share, 0.5, 0.5 + 0.5 * share];
        Span<int> ranks = stackalloc int[6];
        Span<double> found = stackalloc double[6];
        for (int i = 0; i < shares.Length; i++)
            (ranks[2 * i], ranks[2 * i + 1]) = ((int)Place(shares[i], sorted.Length), (int)Place(shares[i], sorted.Length) + 1);
        Ranks.Find(finished, ranks, found);
        ArrayPool<double>.Shared.Return(rented);
        double median = Quantile(shares[1], uninterrupted.Median, found[2..4]);
        return new(
            median, Min(median, Quantile(shares[0], uninterrupted.Low, found[..2])), Max(median, Quantile(shares[2], uninterrupted.High, found[4..])));

        double Quantile(double at, double exact, ReadOnlySpan<double> about)
        {
            double place = Place(at, sorted.Length), past = place - (int)place;
            double without = sorted[(int)place] + past * (sorted[(int)place + 1] - sorted[(int)place]);
            double with = about[0] + past * (about[1] - about[0]);
            return Clamp(exact * with / (without * factor), exact, Max(exact, PurchaseOption.MostHeldSeconds));
        }
    }

    /// <summary>Where a share lies among so many times in order, from 0; so far from the end that another follows.</summary>
    private static double Place(double share, int count) => Clamp(share * count - 0.5, 0, BitDecrement(count - 1.0));

    private static double[] Sorted(ReadOnlySpan<double> seconds)
    {
        double[] sorted = seconds.ToArray();
        Ranks.Sort(sorted);
        return sorted;
    }

    private static double[] Sequence(double step) =>
        [.. Enumerable.Range(1, Many).Select(night => (0.5 + night * step) % 1)];
}
