using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Stealing;

/// <summary>
/// How long ranges of units take, without looking at single units. A worker's range is known by two figures: the seconds of
/// its last leaf, and those of everything before it.
/// </summary>
internal interface IRangeSums
{
    /// <summary>Seconds of all units.</summary>
    double Total();

    /// <summary>Seconds of the last leaf of a range.</summary>
    /// <param name="low">First unit of the range.</param>
    /// <param name="range">Its shape; not a leaf.</param>
    /// <param name="total">Seconds of the whole range.</param>
    double LastLeaf(long low, in RangeShape range, double total);

    /// <summary>Seconds of the left half of a range; asked for once, before <see cref="LastLeaf"/> of either half.</summary>
    /// <param name="low">First unit of the range.</param>
    /// <param name="range">Its shape; not a leaf.</param>
    /// <param name="beforeLastLeaf">Seconds of everything in the range before its last leaf.</param>
    double LeftHalf(long low, in RangeShape range, double beforeLastLeaf);
}

/// <summary>Units that all take the same time.</summary>
internal readonly struct ConstantSums(double unitSeconds, long units) : IRangeSums
{
    public double Total() => units * unitSeconds;

    public double LastLeaf(long low, in RangeShape range, double total) => range.LastLeafUnits * unitSeconds;

    public double LeftHalf(long low, in RangeShape range, double beforeLastLeaf) => range.LeftUnits * unitSeconds;
}

/// <summary>Units drawn beforehand: <c>sums[i]</c> holds the seconds of the first i units.</summary>
internal readonly struct PrefixSums(double[] sums, long units) : IRangeSums
{
    public double Total() => sums[units];

    public double LastLeaf(long low, in RangeShape range, double total)
    {
        long end = low + range.Units;
        return sums[end] - sums[end - range.LastLeafUnits];
    }

    public double LeftHalf(long low, in RangeShape range, double beforeLastLeaf) => sums[low + range.LeftUnits] - sums[low];
}

/// <summary>
/// Units drawn beforehand, of which only the sums at every 2^shift-th unit are kept; within such a block all units are taken
/// to be equally long.
/// </summary>
internal readonly struct BlockSums(double[] sums, long units, int shift) : IRangeSums
{
    public double Total() => Prefix(units);

    public double LastLeaf(long low, in RangeShape range, double total)
    {
        long end = low + range.Units;
        return Prefix(end) - Prefix(end - range.LastLeafUnits);
    }

    public double LeftHalf(long low, in RangeShape range, double beforeLastLeaf) => Prefix(low + range.LeftUnits) - Prefix(low);

    private double Prefix(long unit)
    {
        long block = unit >> shift;
        long start = block << shift;
        if (unit == start)
            return sums[block];
        // The last block may be short; the sum after it belongs to the end of the range.
        double length = Math.Min(1L << shift, units - start);
        return unit == units ? sums[block + 1] : sums[block] + (sums[block + 1] - sums[block]) * ((unit - start) / length);
    }
}

/// <summary>
/// Gamma-distributed units, drawn only as far as somebody asks: a sum of n units is gamma-distributed with n times the shape,
/// and the share of a part in a known sum is beta-distributed, independently of the sum.
/// </summary>
internal readonly struct GammaSums(double shape, double scale, long units, RandomSource random) : IRangeSums
{
    public double Total() => scale * random.NextGamma(shape * units);

    public double LastLeaf(long low, in RangeShape range, double total) =>
        total * random.NextBeta(shape * range.LastLeafUnits, shape * (range.Units - range.LastLeafUnits));

    public double LeftHalf(long low, in RangeShape range, double beforeLastLeaf)
    {
        long rest = range.Units - range.LastLeafUnits - range.LeftUnits;
        return rest == 0 ? beforeLastLeaf : beforeLastLeaf * random.NextBeta(shape * range.LeftUnits, shape * rest);
    }
}
