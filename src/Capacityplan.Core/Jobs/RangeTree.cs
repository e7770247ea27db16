namespace Capacityplan.Core.Jobs;

/// <summary>
/// The tree a range of units is split into: a range of n units above the grain forks into floor(n/2) and the rest, a range of
/// no more than the grain is a leaf.
/// </summary>
/// <remarks>
/// Ranges at depth d hold floor(N/2^d) units or one more, so everything about a range follows from its depth and which of
/// the two sizes it has: a table of two entries a level tells all, whatever N is.
/// </remarks>
public sealed class RangeTree
{
    /// <summary>The most units a tree can have.</summary>
    public const long MostUnits = 1L << 48;

    private readonly RangeShape[] _shapes;

    /// <summary>Splits a range.</summary>
    /// <param name="units">N, units of the whole range; from 1 to <see cref="MostUnits"/>.</param>
    /// <param name="grain">Most units of a leaf; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A count is outside its range.</exception>
    public RangeTree(long units, long grain)
    {
        Require.Within(units, 1, MostUnits);
        Units = units;
        Grain = Require.AtLeast(grain, 1);
        int levels = 1;
        while ((units >> (levels - 1)) + 1 > grain)
            levels++;
        _shapes = new RangeShape[2 * levels];
        for (int depth = levels - 1; depth >= 0; depth--)
        {
            for (int more = 0; more <= 1; more++)
                _shapes[2 * depth + more] = Shape(depth, (units >> depth) + more);
        }
    }

    /// <summary>N, units of the whole range; 1 or more.</summary>
    public long Units { get; }

    /// <summary>Most units of a leaf; 1 or more.</summary>
    public long Grain { get; }

    /// <summary>F, ranges that fork, and so as many joins; 0 or more.</summary>
    public long Forks => _shapes[0].Forks;

    /// <summary>Ranges that are run unit by unit: one more than there are forks.</summary>
    public long Leaves => Forks + 1;

    /// <summary>Sum of the units of all ranges that fork; 0 or more.</summary>
    public long JoinedUnits => _shapes[0].JoinedUnits;

    /// <summary>Sum of the units of all right halves, which are what a worker pushes on its deque; 0 or more.</summary>
    public long PushedUnits => _shapes[0].PushedUnits;

    /// <summary>Units of the largest leaf; 1 or more.</summary>
    public long LargestLeaf => _shapes[0].LargestLeaf;

    /// <summary>The whole range first; a range's halves are found by their index.</summary>
    internal ReadOnlySpan<RangeShape> Shapes => _shapes;

    /// <summary>How many leaves there are of each size, sizes rising; sizes that differ by one unit count as the larger.</summary>
    internal IReadOnlyList<(long Units, long Count)> LeafSizes()
    {
        long[] ranges = new long[_shapes.Length];
        ranges[0] = 1;
        var leaves = new SortedDictionary<long, long>();
        for (int i = 0; i < _shapes.Length; i++)
        {
            if (ranges[i] == 0)
                continue;
            if (_shapes[i].IsLeaf)
            {
                leaves[_shapes[i].Units] = leaves.GetValueOrDefault(_shapes[i].Units) + ranges[i];
                continue;
            }

            ranges[_shapes[i].Left] += ranges[i];
            ranges[_shapes[i].Right] += ranges[i];
        }

        var sizes = new List<(long Units, long Count)>();
        foreach ((long units, long count) in leaves)
        {
            if (sizes.Count > 0 && sizes[^1].Units == units - 1)
                sizes[^1] = (units, sizes[^1].Count + count);
            else
                sizes.Add((units, count));
        }

        return sizes;
    }

    /// <summary>Seconds of all forks, joins and combines.</summary>
    /// <param name="costs">What one of each costs.</param>
    public double OverheadSeconds(SchedulingCosts costs)
    {
        ArgumentNullException.ThrowIfNull(costs);
        return Forks * (costs.ForkSeconds + costs.JoinSeconds) + JoinedUnits * costs.CombineSecondsPerUnit;
    }

    /// <summary>T_inf, seconds, where every unit takes the same time: the longest chain of forks, one leaf, and joins.</summary>
    /// <param name="unitSeconds">Seconds of each unit; 0 or more, 0 giving the forks and joins of the longest chain alone.</param>
    /// <param name="costs">What forks, joins and combines cost.</param>
    /// <exception cref="ArgumentOutOfRangeException">The duration is NaN, infinite or below 0.</exception>
    public double SpanSeconds(double unitSeconds, SchedulingCosts costs)
    {
        Require.NotNegative(unitSeconds);
        ArgumentNullException.ThrowIfNull(costs);
        double[] span = new double[_shapes.Length];
        for (int i = _shapes.Length - 1; i >= 0; i--)
        {
            ref readonly RangeShape shape = ref _shapes[i];
            span[i] = shape.IsLeaf
                ? shape.Units * unitSeconds
                : costs.ForkSeconds + Math.Max(span[shape.Left], span[shape.Right]) + costs.JoinSeconds + costs.CombineSecondsPerUnit * shape.Units;
        }

        return span[0];
    }

    private RangeShape Shape(int depth, long n)
    {
        if (n <= Grain)
            return new RangeShape { Units = n, Left = -1, Right = -1, LastLeafUnits = n, LargestLeaf = n };
        long below = Units >> (depth + 1);
        long leftUnits = n / 2;
        int left = 2 * (depth + 1) + (int)(leftUnits - below);
        int right = 2 * (depth + 1) + (int)(n - leftUnits - below);
        RangeShape l = _shapes[left], r = _shapes[right];
        return new RangeShape
        {
            Units = n,
            Left = left,
            Right = right,
            LeftUnits = leftUnits,
            Forks = 1 + l.Forks + r.Forks,
            JoinedUnits = n + l.JoinedUnits + r.JoinedUnits,
            PushedUnits = n - leftUnits + l.PushedUnits + r.PushedUnits,
            LastLeafUnits = r.LastLeafUnits,
            SpineForks = 1 + r.SpineForks,
            SpineUnits = n + r.SpineUnits,
            LargestLeaf = Math.Max(l.LargestLeaf, r.LargestLeaf),
        };
    }
}

/// <summary>What follows from the size and depth of a range. Counts are those of the range and everything below it.</summary>
internal readonly struct RangeShape
{
    public required long Units { get; init; }

    /// <summary>Index of the left half's shape; -1 for a leaf.</summary>
    public required int Left { get; init; }

    /// <summary>Index of the right half's shape; -1 for a leaf.</summary>
    public required int Right { get; init; }

    public long LeftUnits { get; init; }

    public long Forks { get; init; }

    public long JoinedUnits { get; init; }

    public long PushedUnits { get; init; }

    public required long LargestLeaf { get; init; }

    /// <summary>Units of the leaf at the end of the right spine: the range itself, its right half, that one's right half, and so on.</summary>
    public required long LastLeafUnits { get; init; }

    /// <summary>Ranges of the right spine that fork.</summary>
    public int SpineForks { get; init; }

    /// <summary>Sum of the units of those.</summary>
    public long SpineUnits { get; init; }

    public bool IsLeaf => Left < 0;
}
