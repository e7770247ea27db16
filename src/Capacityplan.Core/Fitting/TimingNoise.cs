using System.Collections.Immutable;
using MathNet.Numerics.Statistics;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>The runs of one core count.</summary>
/// <param name="Cores">Cores as stated.</param>
/// <param name="CoresWorth">What they are worth in physical cores.</param>
/// <param name="LogMedian">Median of the natural logarithms of their seconds.</param>
/// <param name="LogSeconds">Those logarithms, in the order given.</param>
public sealed record TimingGroup(int Cores, double CoresWorth, double LogMedian, ImmutableArray<double> LogSeconds)
{
    /// <summary>Groups runs by core count, ascending. A run of another input size counts as if its time grew in
    /// proportion to the input.</summary>
    /// <param name="timings">The runs.</param>
    /// <param name="coresWorth">What a stated core count is worth in physical cores; 1 or more.</param>
    public static ImmutableArray<TimingGroup> Of(IEnumerable<Timing> timings, Func<int, double> coresWorth) =>
    [
        .. timings.GroupBy(timing => timing.Cores).OrderBy(group => group.Key).Select(group =>
        {
            ImmutableArray<double> logs = [.. group.Select(timing => Log(timing.Seconds / timing.Size))];
            return new TimingGroup(group.Key, coresWorth(group.Key), logs.Median(), logs);
        }),
    ];
}

/// <summary>
/// The noise of timings, as standard deviations of natural logarithms. Within a core count runs scatter by
/// <see cref="RunToRun"/>; besides, all runs of a core count share an error of size <see cref="Sitting"/> that repeats
/// cannot average away (they were mostly measured in one go).
/// </summary>
/// <param name="RunToRun">Scatter of single runs; above 0.</param>
/// <param name="Sitting">Error shared by the runs of a core count; above 0.</param>
public readonly record struct TimingNoise(double RunToRun, double Sitting)
{
    /// <summary>The scatter assumed before any repeat is seen, counted as <see cref="AssumedFreedom"/> degrees of freedom.</summary>
    public const double AssumedRunToRun = 0.05;

    /// <summary>What the assumed scatter weighs against repeats.</summary>
    public const double AssumedFreedom = 6;

    /// <summary>The least error of a sitting.</summary>
    public const double LeastSitting = 0.06;

    /// <summary>A deviation beyond so many standard deviations counts as that many: one stray run must not widen every band.</summary>
    private const double Cap = 2.5;

    /// <summary>
    /// Estimates the noise from repeats: the pooled variance about each core count's median, deviations capped (Huber,
    /// Robust Statistics, Wiley 1981; from memory), weighed with an assumed one. The sizes assumed were found on measured
    /// fork/join programs: repeats scatter by about 4 %, and sittings differ by about 5 %.
    /// </summary>
    public static TimingNoise Estimate(IReadOnlyList<TimingGroup> groups)
    {
        double freedom = groups.Sum(group => group.LogSeconds.Length - 1);
        double variance = AssumedRunToRun * AssumedRunToRun;
        // Three rounds settle which deviations are capped in all but contrived data.
        for (int round = 0; round < 3; round++)
        {
            double cap = Cap * Sqrt(variance);
            double sum = 0;
            foreach (TimingGroup group in groups.Where(group => group.LogSeconds.Length > 1))
            {
                foreach (double log in group.LogSeconds)
                {
                    double deviation = Min(Abs(log - group.LogMedian), cap);
                    sum += deviation * deviation;
                }
            }

            variance = (AssumedFreedom * AssumedRunToRun * AssumedRunToRun + sum) / (AssumedFreedom + freedom);
        }

        return new TimingNoise(Sqrt(variance), Sqrt(LeastSitting * LeastSitting + variance));
    }

    /// <summary>Variance of a core count's log-median about the curve; a median scatters 1.3 times as much as a mean.</summary>
    /// <param name="runs">Its runs; 1 or more.</param>
    public double VarianceOfMedian(int runs) =>
        Sitting * Sitting + RunToRun * RunToRun * (runs > 1 ? 1.3 / runs : 1);
}
