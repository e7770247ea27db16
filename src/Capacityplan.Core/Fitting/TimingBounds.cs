namespace Capacityplan.Core.Fitting;

/// <summary>
/// All that runs on one core count say of others. p times as many cores are at most p times as fast (the work law), and
/// more cores make a run no slower: T min(1, q/p) to T max(1, q/p) on p cores where q took T.
/// </summary>
/// <remarks>The work law: R. P. Brent, "The Parallel Evaluation of General Arithmetic Expressions", J. ACM 21(2), 1974.
/// Caches that more cores bring, and workers in each other's way, break either bound; a second core count shows both.</remarks>
public sealed record TimingBounds
{
    private TimingBounds(TimingGroup measured) => (Cores, CoresWorth, MedianSeconds) = (measured.Cores, measured.CoresWorth, Math.Exp(measured.LogMedian));

    /// <summary>The measured core count.</summary>
    public int Cores { get; }

    /// <summary>What it is worth in physical cores.</summary>
    public double CoresWorth { get; }

    /// <summary>What a run on it takes, seconds; the median, runs of other sizes brought to the planned one in proportion.</summary>
    public double MedianSeconds { get; }

    /// <summary>The bounds of timings that make no curve.</summary>
    /// <param name="timings">Measured runs; one or more.</param>
    /// <param name="coresWorth">What a stated core count is worth in physical cores of the machine measured on.</param>
    /// <returns>Null where they are worth two different core counts or more, and a curve can be fitted.</returns>
    /// <exception cref="ArgumentException">There are no timings.</exception>
    public static TimingBounds? Of(IReadOnlyCollection<Timing> timings, Func<int, double> coresWorth)
    {
        if (timings.Count == 0)
            throw new ArgumentException("Bounds need a measured run.", nameof(timings));
        TimingGroup[] groups = [.. TimingGroup.Of(timings, coresWorth)];
        return groups.All(group => group.CoresWorth == groups[0].CoresWorth) ? new TimingBounds(groups[0]) : null;
    }

    /// <summary>No run on so many cores is faster, seconds.</summary>
    /// <param name="cores">Cores' worth; 1 or more.</param>
    public double FloorSeconds(double cores) => MedianSeconds * Math.Min(1, CoresWorth / Require.AtLeast(cores, 1.0));

    /// <summary>No run on so many cores need be slower, seconds.</summary>
    /// <param name="cores">Cores' worth; 1 or more.</param>
    public double CeilingSeconds(double cores) => MedianSeconds * Math.Max(1, CoresWorth / Require.AtLeast(cores, 1.0));
}
