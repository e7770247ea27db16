namespace Capacityplan.Core.Jobs;

/// <summary>Durations drawn, with replacement, from measured ones.</summary>
public sealed record SampleSizes : TaskSizes
{
    private readonly double[] _values;
    private readonly double[] _sorted;

    /// <summary>Takes a copy of the measured durations.</summary>
    /// <param name="values">Durations, seconds; one or more, each 0 or more, not all 0.</param>
    /// <exception cref="ArgumentException">There is no duration, or all of them are 0.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A duration is NaN, infinite or below 0.</exception>
    public SampleSizes(IEnumerable<double> values)
    {
        ArgumentNullException.ThrowIfNull(values);
        _values = [.. values];
        if (_values.Length == 0)
            throw new ArgumentException("The sample is empty; it needs at least one duration.", nameof(values));
        double sum = 0;
        foreach (double value in _values)
            sum += Require.NotNegative(value, nameof(values));
        if (!(sum > 0))
            throw new ArgumentException("Every duration of the sample is 0; at least one has to be above 0.", nameof(values));
        Mean = sum / _values.Length;
        double squares = 0;
        foreach (double value in _values)
            squares += (value - Mean) * (value - Mean);
        StandardDeviation = Math.Sqrt(squares / _values.Length);
        _sorted = [.. _values];
        Array.Sort(_sorted);
    }

    /// <summary>The durations as handed in, seconds.</summary>
    public IReadOnlyList<double> Values => Array.AsReadOnly(_values);

    /// <inheritdoc/>
    public override double Mean { get; }

    /// <inheritdoc/>
    public override double StandardDeviation { get; }

    /// <inheritdoc/>
    public override double Sample(RandomSource random)
    {
        ArgumentNullException.ThrowIfNull(random);
        return _values[random.NextIndex(_values.Length)];
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
        int low = 0, high = _sorted.Length;
        while (low < high)
        {
            int middle = low + (high - low) / 2;
            if (_sorted[middle] <= seconds)
                low = middle + 1;
            else
                high = middle;
        }

        return (_sorted.Length - low) / (double)_sorted.Length;
    }

    /// <summary>Two samples are equal when they hold the same durations in the same order.</summary>
    /// <param name="other">The other sample.</param>
    public bool Equals(SampleSizes? other) => other is not null && _values.AsSpan().SequenceEqual(other._values);

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(_values.Length, Mean, StandardDeviation);

    // The longest of n draws is at most the i-th smallest of m values with chance (i/m)^n.
    private protected override double Longest(long count)
    {
        double mean = 0, before = 0;
        for (int i = 0; i < _sorted.Length; i++)
        {
            double atMost = Math.Pow((i + 1.0) / _sorted.Length, count);
            mean += _sorted[i] * (atMost - before);
            before = atMost;
        }

        return mean;
    }

    // A sample of equal durations has no spread to match a gamma distribution to.
    private protected override double LongestSum(long tasks, long unitsEach) =>
        StandardDeviation > 0 ? base.LongestSum(tasks, unitsEach) : unitsEach * Mean;
}
