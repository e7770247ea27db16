using MathNet.Numerics.Statistics;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>A run that is far from the repeats it belongs to: something else ran beside it, or it was mistyped.</summary>
/// <param name="Cores">The core count it was on.</param>
/// <param name="TimesMedian">Its time, times the median of the repeats; above 0, below 1 where it was faster.</param>
/// <remarks>
/// Judged by the median absolute deviation of all other repeats, which one run cannot widen: F. R. Hampel, "The Influence Curve and
/// Its Role in Robust Estimation", Journal of the American Statistical Association 69, 1974; from memory. The limit of five
/// deviations is common practice, no source.
/// </remarks>
public sealed record StrayRun(int Cores, double TimesMedian)
{
    /// <summary>So many repeats are needed to say which of them is off.</summary>
    public const int LeastRepeats = 3;

    /// <summary>What is less off than this is no stray, however steady the others are.</summary>
    public const double LeastOff = 0.15;

    private const double Deviations = 5;

    /// <summary>From a median absolute deviation to a standard deviation, for normal errors.</summary>
    private const double Normal = 1.4826;

    /// <summary>Finds the run furthest from its repeats.</summary>
    /// <param name="timings">All runs.</param>
    /// <returns>Null where none strays.</returns>
    public static StrayRun? Of(IReadOnlyCollection<Timing> timings)
    {
        (Timing Run, double LogOff)[] offs =
        [
            .. timings.GroupBy(run => (run.Cores, run.Size, run.Sitting)).Where(repeats => repeats.Count() >= LeastRepeats).SelectMany(repeats =>
            {
                double median = repeats.Select(run => run.Seconds).Median();
                return repeats.Select(run => (run, Log(run.Seconds / median)));
            }),
        ];
        if (offs.Length == 0)
            return null;
        (Timing Run, double LogOff) far = offs.MaxBy(one => Abs(one.LogOff));
        // The middle one of each group is its own median and says nothing.
        double[] others = [.. offs.Where(one => one != far && one.LogOff != 0).Select(one => Abs(one.LogOff))];
        double usual = others.Length == 0 ? 0 : Normal * others.Median();
        return Abs(far.LogOff) > Max(LeastOff, Deviations * usual) ? new StrayRun(far.Run.Cores, Exp(far.LogOff)) : null;
    }
}
