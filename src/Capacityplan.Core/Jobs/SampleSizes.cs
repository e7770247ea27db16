using System.Collections.Immutable;
using System.Runtime.InteropServices;

namespace Capacityplan.Core.Jobs;

/// <summary>
/// Durations drawn, with replacement, from measured ones. A large sample can be <see cref="Condense">condensed</see>, so that
/// it stays small in a stored plan and still draws, and forecasts, like the whole.
/// </summary>
public sealed record SampleSizes : TaskSizes
{
    /// <summary>The most groups a condensed sample has; a sample of no more values is left as it is.</summary>
    public const int MostGroups = 20_000;

    private readonly double[] _values;
    private readonly double[] _sorted;

    // How many values each of _values stands for, and how many values of the sample are at most the i-th of _sorted; both are
    // empty where each stands for itself alone.
    private readonly int[] _counts = [];
    private readonly int[] _upTo = [];

    // For every stretch of equally many draws the first group it touches, so that a draw looks at two groups on average
    // (H.-C. Chen and Y. Asau, "On generating random variates from an empirical distribution", AIIE Transactions 6, 1974).
    private readonly int[] _guide = [];
    private readonly int _stretch;

    /// <summary>Takes a copy of the measured durations.</summary>
    /// <param name="values">Durations, seconds; one or more, each 0 or more, not all 0.</param>
    /// <exception cref="ArgumentException">There is no duration, or all of them are 0.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A duration is NaN, infinite or below 0.</exception>
    public SampleSizes(IEnumerable<double> values)
        : this(values is null ? throw new ArgumentNullException(nameof(values)) : [.. values], [])
    {
    }

    private SampleSizes(double[] values, int[] counts)
    {
        if (values.Length == 0)
            throw new ArgumentException("The sample is empty; it needs at least one duration.", nameof(values));
        foreach (double value in values)
            Require.NotNegative(value, nameof(values));
        _values = values;
        (_sorted, int[] sortedCounts) = InOrder(values, counts);
        Count = values.Length;
        if (counts.Length > 0)
        {
            _counts = counts;
            _upTo = new int[sortedCounts.Length];
            Count = 0;
            for (int i = 0; i < sortedCounts.Length; i++)
                _upTo[i] = Count = checked(Count + Require.AtLeast(sortedCounts[i], 1, nameof(counts)));
            _stretch = (Count - 1) / _upTo.Length + 1;
            _guide = new int[(Count - 1) / _stretch + 1];
            for (int i = 1, group = 0; i < _guide.Length; i++)
            {
                while (_upTo[group] <= (long)i * _stretch)
                    group++;
                _guide[i] = group;
            }
        }

        var sum = new CarriedSum();
        for (int i = 0; i < _values.Length; i++)
            sum.Add(_values[i] * CountAt(i));
        if (!(sum.Total > 0))
            throw new ArgumentException("Every duration of the sample is 0; at least one has to be above 0.", nameof(values));
        Mean = sum.Total / Count;
        var squares = new CarriedSum();
        for (int i = 0; i < _values.Length; i++)
            squares.Add((_values[i] - Mean) * (_values[i] - Mean) * CountAt(i));
        StandardDeviation = Math.Sqrt(squares.Total / Count);
    }

    /// <summary>How many measured durations there are, those inside groups included.</summary>
    public int Count { get; }

    /// <summary>The durations as handed in, seconds, or where <see cref="Counts"/> is not empty one for each group.</summary>
    public IReadOnlyList<double> Values => Array.AsReadOnly(_values);

    /// <summary>How many durations each of <see cref="Values"/> stands for; empty where each stands for itself alone.</summary>
    public ImmutableArray<int> Counts => ImmutableCollectionsMarshal.AsImmutableArray(_counts);

    /// <inheritdoc/>
    public override double Mean { get; }

    /// <inheritdoc/>
    public override double StandardDeviation { get; }

    /// <summary>The values, shortest first.</summary>
    internal ReadOnlySpan<double> Sorted => _sorted;

    /// <summary>A sample in which durations stand for several measured ones each.</summary>
    /// <param name="values">Durations, seconds; one or more, each 0 or more, not all 0.</param>
    /// <param name="counts">How many measured durations each stands for; as many as values, each 1 or more.</param>
    /// <exception cref="ArgumentException">There is no duration, all of them are 0, or there are not as many counts.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A duration is NaN, infinite or below 0, or a count below 1.</exception>
    /// <exception cref="OverflowException">The counts add up to more than an <see cref="int"/> holds.</exception>
    public static SampleSizes OfGroups(IEnumerable<double> values, IEnumerable<int> counts)
    {
        double[] durations = [.. values];
        int[] numbers = [.. counts];
        if (durations.Length != numbers.Length)
            throw new ArgumentException("There have to be as many counts as durations.", nameof(counts));
        return new SampleSizes(durations, Array.TrueForAll(numbers, number => number == 1) ? [] : numbers);
    }

    /// <summary>A sample of at most <see cref="MostGroups"/> groups that stands for all values.</summary>
    /// <remarks>
    /// Up to <see cref="MostGroups"/> values: the values, in their order. More values, but no more different ones (a coarse
    /// clock): each different value once, with its count; nothing is lost. Otherwise: the 5,000 longest and the 1,000 shortest
    /// values above 0 singly, all values of 0 as one group, and the rest in their order of length as groups of equal size, one
    /// value more or less, each by its mean. Then the mean, both ends and every figure of the longest 5,000 are exact. The
    /// standard deviation comes out too small, since the spread inside a group is lost, by less than 1 part in 10,000, and a
    /// quantile lies off by less than the length of the group it falls in.
    /// </remarks>
    /// <param name="values">Durations, seconds; one or more, each 0 or more, not all 0.</param>
    /// <exception cref="ArgumentException">There is no duration, or all of them are 0.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A duration is NaN, infinite or below 0.</exception>
    public static SampleSizes Condense(ReadOnlySpan<double> values)
    {
        double[] own = values.ToArray();
        if (own.Length <= MostGroups)
            return new SampleSizes(own, []);
        foreach (double value in own)
            Require.NotNegative(value, nameof(values));
        (double[] durations, int[] counts) = SampleCondensing.Of(own);
        return new SampleSizes(durations, counts);
    }

    /// <summary>This sample, condensed as by <see cref="Condense"/> where it has more than <see cref="MostGroups"/> values.</summary>
    public SampleSizes Condensed()
    {
        if (_values.Length <= MostGroups)
            return this;
        double[] all = new double[Count];
        for (int i = 0, at = 0; i < _sorted.Length; at = UpTo(i++))
            all.AsSpan(at, UpTo(i) - at).Fill(_sorted[i]);
        return Condense(all);
    }

    /// <inheritdoc/>
    public override double Sample(RandomSource random)
    {
        ArgumentNullException.ThrowIfNull(random);
        int index = random.NextIndex(Count);
        return _counts.Length == 0 ? _values[index] : AtRank(index);
    }

    /// <inheritdoc/>
    public override void Fill(RandomSource random, Span<double> durations)
    {
        foreach (ref double duration in durations)
            duration = Sample(random);
    }

    /// <inheritdoc/>
    public override double Survival(double seconds)
    {
        int groups = NotAbove(seconds);
        return (Count - (groups == 0 ? 0 : UpTo(groups - 1))) / (double)Count;
    }

    /// <inheritdoc/>
    public override double LogDensity(double seconds)
    {
        int end = NotAbove(seconds);
        int start = end;
        while (start > 0 && _sorted[start - 1] == seconds)
            start--;
        if (start == end)
            return double.NegativeInfinity;
        return Math.Log((UpTo(end - 1) - (start == 0 ? 0 : UpTo(start - 1))) / (double)Count);
    }

    /// <summary>Two samples are equal when they hold the same durations in the same order, as often each.</summary>
    /// <param name="other">The other sample.</param>
    public bool Equals(SampleSizes? other) =>
        other is not null && _values.AsSpan().SequenceEqual(other._values) && _counts.AsSpan().SequenceEqual(other._counts);

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(Count, Mean, StandardDeviation);

    /// <summary>How many values of the sample are at most the i-th of <see cref="Sorted"/>, groups by their mean.</summary>
    internal int UpTo(int group) => _upTo.Length == 0 ? group + 1 : _upTo[group];

    /// <summary>The value at a rank, seconds.</summary>
    /// <param name="rank">From 0, the shortest, to <see cref="Count"/> - 1.</param>
    internal double AtRank(int rank)
    {
        if (_upTo.Length == 0)
            return _sorted[rank];
        int group = _guide[rank / _stretch];
        while (_upTo[group] <= rank)
            group++;
        return _sorted[group];
    }

    /// <summary>
    /// Quantile with linear interpolation between neighbouring values, seconds: definition 7 of R. J. Hyndman and Y. Fan, "Sample
    /// Quantiles in Statistical Packages", The American Statistician 50(4), 1996.
    /// </summary>
    /// <param name="share">From 0 to 1.</param>
    internal double Between(double share)
    {
        double at = share * (Count - 1);
        int rank = Math.Min((int)at, Count - 1);
        double low = AtRank(rank);
        return rank + 1 < Count ? low + (at - rank) * (AtRank(rank + 1) - low) : low;
    }

    private protected override double Inverse(double share) =>
        AtRank(Math.Clamp((int)Math.Ceiling(share * Count) - 1, 0, Count - 1));

    // The longest of n draws is at most the i-th smallest of m values with chance (i/m)^n.
    private protected override double Longest(long count)
    {
        double mean = 0, before = 0;
        for (int i = 0; i < _sorted.Length; i++)
        {
            double atMost = Math.Pow(UpTo(i) / (double)Count, count);
            mean += _sorted[i] * (atMost - before);
            before = atMost;
        }

        return mean;
    }

    // A sample of equal durations has no spread to match a gamma distribution to.
    private protected override double LongestSum(long tasks, long unitsEach) =>
        StandardDeviation > 0 ? base.LongestSum(tasks, unitsEach) : unitsEach * Mean;

    private static (double[] Sorted, int[] Counts) InOrder(double[] values, int[] counts)
    {
        double[] sorted = [.. values];
        int[] sortedCounts = [.. counts];
        if (counts.Length > 0)
            Array.Sort(sorted, sortedCounts);
        else
            Array.Sort(sorted);
        return (sorted, sortedCounts);
    }

    private int CountAt(int at) => _counts.Length == 0 ? 1 : _counts[at];

    // How many of _sorted are at most a duration.
    private int NotAbove(double seconds)
    {
        int low = 0, high = _sorted.Length;
        while (low < high)
        {
            int middle = low + (high - low) / 2;
            if (_sorted[middle] <= seconds)
                low = middle + 1;
            else
                high = middle;
        }

        return low;
    }
}
