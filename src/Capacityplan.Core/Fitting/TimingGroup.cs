using System.Collections.Immutable;
using MathNet.Numerics.Statistics;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>The runs of one core count that were measured in one go.</summary>
/// <param name="LogMedian">Median of the natural logarithms of their seconds.</param>
/// <param name="LogSeconds">Those logarithms, ascending.</param>
public sealed record TimingSitting(double LogMedian, ImmutableArray<double> LogSeconds);

/// <summary>The runs of one core count.</summary>
/// <param name="Cores">Cores as stated.</param>
/// <param name="CoresWorth">What they are worth in physical cores.</param>
/// <param name="LogMedian">Median of the natural logarithms of their seconds; of several sittings, the mean of their medians.</param>
/// <param name="LogSeconds">Those logarithms, in the order given.</param>
/// <param name="Sittings">The runs by sitting; those without a number are one sitting.</param>
public sealed record TimingGroup(
    int Cores, double CoresWorth, double LogMedian, ImmutableArray<double> LogSeconds, ImmutableArray<TimingSitting> Sittings)
{
    /// <summary>Groups runs by core count, ascending. A run of another input size counts as if its time grew in
    /// proportion to the input.</summary>
    /// <param name="timings">The runs.</param>
    /// <param name="coresWorth">What a stated core count is worth in physical cores; 1 or more.</param>
    public static ImmutableArray<TimingGroup> Of(IEnumerable<Timing> timings, Func<int, double> coresWorth) =>
    [
        .. timings.GroupBy(timing => timing.Cores).OrderBy(group => group.Key).Select(group =>
        {
            ImmutableArray<TimingSitting> sittings =
            [
                .. group.GroupBy(timing => timing.Sitting).OrderBy(sitting => sitting.Key).Select(sitting =>
                {
                    ImmutableArray<double> logs = [.. sitting.Select(LogOf).Order()];
                    return new TimingSitting(logs.Median(), logs);
                }),
            ];
            return new TimingGroup(
                group.Key, coresWorth(group.Key), sittings.Average(sitting => sitting.LogMedian), [.. group.Select(LogOf)], sittings);
        }),
    ];

    private static double LogOf(Timing timing) => Log(timing.Seconds / timing.Size);
}
