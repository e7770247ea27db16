using System.Globalization;
using System.Runtime.InteropServices;
using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Reading;

/// <summary>The durations read so far. Those without a unit wait for one until all are read.</summary>
internal sealed class SampleValues(SampleFindings findings)
{
    // A longer task is a slip, and so is a shorter one: light crosses about an atom in that time.
    private const double LongestSeconds = 10 * TimeUnits.Year;
    private const double ShortestSeconds = 1e-18;
    private const int MostOddPlaces = 1_000;

    private readonly List<double> _values = [];
    private readonly List<(int Start, int End)> _bare = [];
    private readonly HashSet<double> _units = [];

    // Where values stand that may turn out absurd once their unit is known; the place of every value would take too much.
    private readonly Dictionary<int, TextSpan> _odd = [];
    private List<int>? _counts;
    private TextSpan _firstBare;
    private bool _hasClock;

    /// <summary>How many tasks the values stand for.</summary>
    public int Count { get; private set; }

    /// <summary>True once there are more than a sample may have.</summary>
    public bool IsFull { get; private set; }

    /// <summary>Takes a number without a unit.</summary>
    public void AddBare(double value, int count, TextSpan at)
    {
        if (_bare.Count > 0 && _bare[^1].End == _values.Count)
            CollectionsMarshal.AsSpan(_bare)[^1].End++;
        else
            _bare.Add((_values.Count, _values.Count + 1));
        if (_firstBare.Line == 0)
            _firstBare = at;
        Add(value, count, at);
    }

    /// <summary>Takes a duration that says its unit.</summary>
    /// <param name="seconds">The duration, seconds.</param>
    /// <param name="unitSeconds">The unit, seconds, where it was one number with one unit.</param>
    /// <param name="count">How many tasks have it.</param>
    /// <param name="at">Where it stands.</param>
    public void AddSeconds(double seconds, double? unitSeconds, int count, TextSpan at)
    {
        if (unitSeconds is { } unit)
            _units.Add(unit);
        else
            _hasClock = true;
        Add(seconds, count, at);
    }

    /// <summary>The sample, with a unit for every number.</summary>
    /// <param name="headingUnit">The unit a heading gives, seconds.</param>
    /// <param name="callerUnit">The unit the caller gives, seconds.</param>
    /// <param name="column">The heading of the column read.</param>
    public SampleReading Complete(double? headingUnit, double? callerUnit, string? column)
    {
        if (IsFull)
        {
            findings.Add(SampleFinding.TooMany, null);
            return Nothing(column);
        }

        var unit = _bare.Count > 0 ? Unit(headingUnit ?? callerUnit) : (double?)null;
        var seconds = InSeconds(unit ?? 1, out var counts);
        if (seconds.Length == 0)
        {
            if (!findings.HasError)
                findings.Add(SampleFinding.NothingRead, null);
            return Nothing(column);
        }

        var zeros = 0;
        for (var i = 0; i < seconds.Length; i++)
            zeros += seconds[i] == 0 ? counts.Length == 0 ? 1 : counts[i] : 0;
        if (zeros == Count)
            findings.Add(SampleFinding.AllZero, null);
        else if (zeros > 0)
            findings.Add(SampleFinding.Zeros, null, $"{SampleFindings.Number(zeros)} {(zeros == 1 ? "duration is" : "durations are")}");
        return new SampleReading
        {
            Seconds = ImmutableCollectionsMarshal.AsImmutableArray(seconds),
            Counts = ImmutableCollectionsMarshal.AsImmutableArray(counts),
            Count = Count,
            Problems = findings.Problems(),
            UnitSeconds = unit,
            Column = column,
            Sizes = findings.HasError ? null
                : counts.Length == 0 ? SampleSizes.Condense(seconds)
                : SampleSizes.OfGroups(seconds, counts).Condensed(),
        };
    }

    private void Add(double value, int count, TextSpan at)
    {
        if (Count + (long)count > SampleReader.MostValues)
        {
            IsFull = true;
            return;
        }

        if ((value > LongestSeconds / TimeUnits.Day || value < ShortestSeconds * 1e9) && _odd.Count < MostOddPlaces)
            _odd.Add(_values.Count, at);
        Count += count;
        if (count > 1)
            _counts ??= [.. Enumerable.Repeat(1, _values.Count)];
        // The sign of a zero would tell two equal samples apart.
        _values.Add(value + 0.0);
        _counts?.Add(count);
    }

    private double Unit(double? given)
    {
        if (given is { } unit)
            return unit;
        if (_units.Count == 1 && !_hasClock)
        {
            var seconds = _units.First();
            findings.Add(SampleFinding.ReadAsUnit, _firstBare, Name(seconds));
            return seconds;
        }

        findings.Add(_units.Count == 0 && !_hasClock ? SampleFinding.ReadAsSeconds : SampleFinding.MixedUnits, _firstBare);
        return 1;
    }

    private double[] InSeconds(double unit, out int[] counts)
    {
        var values = CollectionsMarshal.AsSpan(_values);
        foreach (var (start, end) in _bare)
        {
            foreach (ref var value in values[start..Math.Min(end, values.Length)])
                value *= unit;
        }

        var kept = 0;
        for (var i = 0; i < values.Length; i++)
        {
            var kind = values[i] > LongestSeconds ? SampleFinding.TooLong
                : values[i] > 0 && values[i] < ShortestSeconds ? SampleFinding.TooShort
                : (SampleFinding?)null;
            if (kind is { } absurd)
            {
                findings.Add(absurd, _odd.TryGetValue(i, out var at) ? at : null, $"{values[i].ToString("0.###e+0", CultureInfo.InvariantCulture)} s");
                Count -= _counts?[i] ?? 1;
                continue;
            }

            values[kept] = values[i];
            if (_counts is not null)
                _counts[kept] = _counts[i];
            kept++;
        }

        counts = _counts is null ? [] : [.. CollectionsMarshal.AsSpan(_counts)[..kept]];
        if (Array.TrueForAll(counts, count => count == 1))
            counts = [];
        return values[..kept].ToArray();
    }

    private SampleReading Nothing(string? column) =>
        new() { Seconds = [], Counts = [], Count = 0, Problems = findings.Problems(), Column = column };

    private static string Name(double unitSeconds) => unitSeconds switch
    {
        1e-9 => "nanoseconds",
        1e-6 => "microseconds",
        1e-3 => "milliseconds",
        1 => "seconds",
        TimeUnits.Minute => "minutes",
        TimeUnits.Hour => "hours",
        TimeUnits.Day => "days",
        _ => $"{unitSeconds.ToString("#,0", CultureInfo.InvariantCulture)} seconds",
    };
}
