using System.Collections.Immutable;
using MathNet.Numerics.Statistics;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>The runs of one core count that were measured in one go.</summary>
/// <param name="LogMedian">Median of the natural logarithms of their seconds.</param>
/// <param name="LogSeconds">Those logarithms, ascending.</param>
public sealed record TimingSitting(double LogMedian, ImmutableArray<double> LogSeconds);

/// <summary>The runs of one core count, or of one core count and input size.</summary>
/// <param name="Cores">Cores as stated.</param>
/// <param name="CoresWorth">What they are worth in physical cores.</param>
/// <param name="LogMedian">Median of the natural logarithms of their seconds; of several sittings, the mean of their medians.</param>
/// <param name="LogSeconds">Those logarithms, in the order given.</param>
/// <param name="Sittings">The runs by sitting; those without a number are one sitting.</param>
/// <param name="Size">Input size the seconds are for, relative to the planned run.</param>
public sealed record TimingGroup(
    int Cores, double CoresWorth, double LogMedian, ImmutableArray<double> LogSeconds, ImmutableArray<TimingSitting> Sittings, double Size = 1)
{
    /// <summary>Groups runs by core count, ascending. A run of another input size counts as if its time grew in
    /// proportion to the input.</summary>
    /// <param name="timings">The runs.</param>
    /// <param name="coresWorth">What a stated core count is worth in physical cores; 1 or more.</param>
    public static ImmutableArray<TimingGroup> Of(IEnumerable<Timing> timings, Func<int, double> coresWorth) =>
        [.. timings.GroupBy(timing => timing.Cores).OrderBy(group => group.Key).Select(group => Make(group, coresWorth(group.Key), 1, LogOf))];

    /// <summary>Groups runs by core count and input size, ascending, each with the time it took.</summary>
    /// <param name="timings">The runs.</param>
    /// <param name="coresWorth">What a stated core count is worth in physical cores; 1 or more.</param>
    public static ImmutableArray<TimingGroup> OfSizes(IEnumerable<Timing> timings, Func<int, double> coresWorth) =>
    [
        .. timings.GroupBy(timing => (timing.Cores, timing.Size)).OrderBy(group => group.Key)
            .Select(group => Make(group, coresWorth(group.Key.Cores), group.Key.Size, timing => Log(timing.Seconds))),
    ];

    /// <summary>The runs brought to the planned size, those of one core count together.</summary>
    /// <param name="groups">Runs by core count and size, ascending.</param>
    /// <param name="logGrowth">ln of how many times longer a run of a group takes than one of the planned size.</param>
    public static ImmutableArray<TimingGroup> AtPlannedSize(IEnumerable<TimingGroup> groups, Func<TimingGroup, double> logGrowth) =>
    [
        .. groups.Select(group => (Group: group, Growth: logGrowth(group))).GroupBy(one => one.Group.Cores).Select(same => new TimingGroup(
            same.Key, same.First().Group.CoresWorth, same.Average(one => one.Group.LogMedian - one.Growth),
            [.. same.SelectMany(one => one.Group.LogSeconds.Select(log => log - one.Growth))],
            [
                .. same.SelectMany(one => one.Group.Sittings.Select(sitting => new TimingSitting(
                    sitting.LogMedian - one.Growth, [.. sitting.LogSeconds.Select(log => log - one.Growth)]))),
            ])),
    ];

    private static TimingGroup Make(IEnumerable<Timing> runs, double coresWorth, double size, Func<Timing, double> logOf)
    {
        Timing[] all = [.. runs];
        ImmutableArray<TimingSitting> sittings =
        [
            .. all.GroupBy(timing => timing.Sitting).OrderBy(sitting => sitting.Key).Select(sitting =>
            {
                ImmutableArray<double> logs = [.. sitting.Select(logOf).Order()];
                return new TimingSitting(logs.Median(), logs);
            }),
        ];
        return new TimingGroup(
            all[0].Cores, coresWorth, sittings.Average(sitting => sitting.LogMedian), [.. all.Select(logOf)], sittings, size);
    }

    private static double LogOf(Timing timing) => Log(timing.Seconds / timing.Size);
}
