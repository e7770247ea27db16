using System.Collections.Immutable;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>Nights that are alike.</summary>
/// <param name="Share">Their share of all nights; above 0 and at most 1.</param>
/// <param name="Factor">Their input, or where nights are known by their run times their time, times the usual; above 0.</param>
/// <param name="IsHeavy">True where they are shown apart.</param>
public sealed record NightKind(double Share, double Factor, bool IsHeavy);

/// <summary>How nights differ: a share of them has a larger input, or past nights show how they do.</summary>
public sealed record Nights
{
    /// <summary>Of past nights the largest tenth counts as heavy; a choice, shown on the page.</summary>
    public const double HeavyTenth = 0.1;

    /// <summary>Past nights that differ by less are alike.</summary>
    private const double Alike5Percent = 1.05;

    /// <summary>Past nights are gathered into so many kinds on either side.</summary>
    private const int MostKinds = 12;

    /// <summary>All nights alike.</summary>
    public static readonly Nights Alike = new(0, 1);

    /// <summary>States how nights differ.</summary>
    /// <param name="heavyShare">Share of heavy nights; from 0 to 1.</param>
    /// <param name="heavyFactor">Input of a heavy night, times the usual; above 0.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public Nights(double heavyShare, double heavyFactor)
    {
        HeavyShare = Require.Within(heavyShare, 0, 1);
        HeavyFactor = Require.Positive(heavyFactor);
        NightKind[] kinds = [new(1 - heavyShare, 1, false), new(heavyShare, heavyFactor, true)];
        Kinds = [.. kinds.Where(kind => kind.Share > 0)];
    }

    private Nights(ImmutableArray<NightKind> kinds, int past, bool areRunTimes)
    {
        Kinds = kinds;
        Past = past;
        AreRunTimes = areRunTimes;
        NightKind[] heavy = [.. kinds.Where(kind => kind.IsHeavy)];
        HeavyShare = heavy.Sum(kind => kind.Share);
        HeavyFactor = heavy.Length > 0 ? Exp(heavy.Sum(kind => kind.Share * Log(kind.Factor)) / HeavyShare) : 1;
    }

    /// <summary>Share of heavy nights; from 0 to 1.</summary>
    public double HeavyShare { get; }

    /// <summary>A heavy night, times the usual, as <see cref="NightKind.Factor"/>; of several kinds their middle.</summary>
    public double HeavyFactor { get; }

    /// <summary>The kinds of nights; their shares add up to 1.</summary>
    public ImmutableArray<NightKind> Kinds { get; }

    /// <summary>How many past nights it rests on; 0 where it was stated.</summary>
    public int Past { get; }

    /// <summary>True where factors are of run times and not of inputs.</summary>
    public bool AreRunTimes { get; }

    /// <summary>
    /// What past nights show. The usual night is their median; the largest tenth of them, one at least, is heavy. Many nights
    /// are gathered into up to <see cref="MostKinds"/> kinds on either side, neighbours of equal number with their mean.
    /// </summary>
    /// <param name="values">Input size or run time of each night, in any one unit; each above 0; one at least.</param>
    /// <param name="areRunTimes">True where they are run times.</param>
    /// <exception cref="ArgumentException">There are none.</exception>
    public static Nights OfPast(IReadOnlyCollection<double> values, bool areRunTimes)
    {
        ArgumentNullException.ThrowIfNull(values);
        if (values.Count == 0)
            throw new ArgumentException("There are no past nights.", nameof(values));
        double[] sorted = [.. values.Select(value => Require.Positive(value, nameof(values))).Order()];
        double median = MathNet.Numerics.Statistics.SortedArrayStatistics.Median(sorted);
        int heavy = sorted[^1] < Alike5Percent * median ? 0 : (int)Ceiling(HeavyTenth * sorted.Length);
        return new Nights(
            [.. Gathered(sorted[..^heavy], false), .. Gathered(sorted[(sorted.Length - heavy)..], true)], sorted.Length, areRunTimes);

        IEnumerable<NightKind> Gathered(double[] some, bool isHeavy)
        {
            int kinds = Min(MostKinds, some.Length);
            for (int kind = 0; kind < kinds; kind++)
            {
                int from = (int)((long)kind * some.Length / kinds), to = (int)((long)(kind + 1) * some.Length / kinds);
                yield return new NightKind((double)(to - from) / sorted.Length, some[from..to].Average() / median, isHeavy);
            }
        }
    }

    /// <summary>Nights are equal when they differ alike.</summary>
    public bool Equals(Nights? other) =>
        other is not null && AreRunTimes == other.AreRunTimes && Past == other.Past && Kinds.SequenceEqual(other.Kinds);

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(AreRunTimes, Past, Kinds.Length, HeavyShare, HeavyFactor);
}
