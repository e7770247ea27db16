using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Reading;

/// <summary>Makes timings of the runs that were found: judges their ranges, ties speedups and rates to times, evens out sizes and sittings.</summary>
internal sealed class TimingsAssembly(List<FoundRun> found, List<Finding> findings, PastedLine[] lines)
{
    /// <summary>The most timings taken from one text.</summary>
    public const int MostTimings = 100_000;

    // A batch run longer than ten years or shorter than a nanosecond is a slip of the unit.
    private const double LongestSeconds = 10 * TimeUnits.Year;
    private const double ShortestSeconds = 1e-9;

    // Sizes within a factor of ten of 1 are taken for sizes relative to the planned run.
    private const double NearOne = 10;

    public TimingValues Values { get; private set; } = TimingValues.Times;

    public bool IsRelative { get; private set; }

    /// <summary>The timings, in the order of the text.</summary>
    public ImmutableArray<ReadTiming> Timings()
    {
        var runs = found.Where(IsWithinRange)
            .OrderBy(run => run.ValueAt.Line).ThenBy(run => run.ValueAt.Column).ToList();
        if (runs.Count > MostTimings)
        {
            findings.Add(new Finding(FindingKind.TooMany, runs[MostTimings].ValueAt, MostTimings.ToString("#,0", CultureInfo.InvariantCulture)));
            runs.RemoveRange(MostTimings, runs.Count - MostTimings);
        }

        runs = InSeconds(runs);
        var sizes = Sizes(runs);
        var sittings = Sittings(runs);
        return [.. runs.Select((run, i) => new ReadTiming(
            new Timing((int)run.Cores, run.Value.Amount, sittings[i], sizes[i]), run.CoresAt, run.ValueAt)
        {
            SizeAt = run.SizeCell?.At,
            SizeText = run.SizeCell?.Text ?? "",
        })];
    }

    private bool IsWithinRange(FoundRun run)
    {
        var cores = run.Cores;
        var amount = run.Value.Amount;
        FindingKind? wrong = !(cores > 0) ? FindingKind.NoneCores
            : cores > Timing.MostCores ? FindingKind.TooManyCores
            : cores != Math.Floor(cores) ? FindingKind.PartCores
            : null;
        if (wrong is { } kind)
        {
            findings.Add(new Finding(kind, run.CoresAt, "", cores));
            return false;
        }

        wrong = run.Value.Kind switch
        {
            ValueKind.Speedup => amount > 0 ? null : FindingKind.NoSpeedup,
            ValueKind.Rate => amount > 0 ? null : FindingKind.NoRate,
            _ => amount == 0 ? FindingKind.ZeroTime
                : amount < 0 ? FindingKind.NegativeTime
                : amount > LongestSeconds ? FindingKind.TooLong
                : amount < ShortestSeconds ? FindingKind.TooShort
                : null,
        };
        if (wrong is { } wrongAmount)
            findings.Add(new Finding(wrongAmount, run.ValueAt, run.Text, cores));
        return wrong is null;
    }

    /// <summary>Turns speedups and rates into seconds where a time ties them to the clock, else all figures into relative times.</summary>
    private List<FoundRun> InSeconds(List<FoundRun> runs)
    {
        if (runs.TrueForAll(run => run.Value.Kind == ValueKind.Time))
            return runs;

        var times = runs.FindAll(run => run.Value.Kind == ValueKind.Time);
        if (times.Count > 0)
            return Scaled(runs, kind => SecondsAtOne(kind, times, runs), kind => findings.Add(new Finding(FindingKind.ScaledFigures, runs.Find(run => run.Value.Kind == kind)!.ValueAt, Plural(kind))));

        var main = runs.Exists(run => run.Value.Kind == ValueKind.Speedup) ? ValueKind.Speedup : ValueKind.Rate;
        Values = main == ValueKind.Speedup ? TimingValues.Speedups : TimingValues.Rates;
        IsRelative = true;
        var least = runs.Where(run => run.Value.Kind == main).Min(run => run.Cores);
        var atLeast = Median(runs.Where(run => run.Value.Kind == main && run.Cores == least).Select(run => run.Value.Amount));
        return Scaled(runs, kind => kind == main ? atLeast : null, kind => findings.Add(new Finding(FindingKind.RelativeOnly, runs.Find(run => run.Value.Kind == kind)!.ValueAt, Plural(kind))));
    }

    private List<FoundRun> Scaled(List<FoundRun> runs, Func<ValueKind, double?> secondsAtOne, Action<ValueKind> note)
    {
        var scales = new Dictionary<ValueKind, double?> { [ValueKind.Time] = null };
        var scaled = new List<FoundRun>(runs.Count);
        foreach (var run in runs)
        {
            if (run.Value.Kind == ValueKind.Time)
            {
                scaled.Add(run);
                continue;
            }

            if (!scales.TryGetValue(run.Value.Kind, out var scale))
            {
                scales[run.Value.Kind] = scale = secondsAtOne(run.Value.Kind);
                if (scale is not null)
                    note(run.Value.Kind);
            }

            var seconds = scale / run.Value.Amount;
            if (seconds is > 0 and < double.PositiveInfinity)
                scaled.Add(run with { Value = run.Value with { Amount = seconds.Value } });
            else
                findings.Add(new Finding(scale is null ? FindingKind.NoScale : FindingKind.NotATime, run.ValueAt, run.Text, run.Cores));
        }

        return scaled;
    }

    /// <summary>
    /// Seconds of a run with speedup, or rate, 1: from rows that have both, else from core counts that have both, else, for
    /// speedups, from the smallest core count timed, where speedups are measured against it.
    /// </summary>
    private static double? SecondsAtOne(ValueKind kind, List<FoundRun> times, List<FoundRun> runs)
    {
        var ties = times.Where(time => time.Beside is { } beside && beside.Kind == kind && beside.Amount > 0)
            .Select(time => time.Value.Amount * time.Beside!.Value.Amount).ToList();
        var figures = runs.FindAll(run => run.Value.Kind == kind);
        if (ties.Count == 0)
        {
            var byCores = figures.GroupBy(run => run.Cores).ToDictionary(group => group.Key, group => Median(group.Select(run => run.Value.Amount)));
            ties = [.. times.Where(time => byCores.ContainsKey(time.Cores)).Select(time => time.Value.Amount * byCores[time.Cores])];
        }

        if (ties.Count > 0)
            return Median(ties);
        var least = times.Min(time => time.Cores);
        return kind == ValueKind.Speedup && figures.TrueForAll(run => run.Cores > least)
            ? Median(times.Where(time => time.Cores == least).Select(time => time.Value.Amount))
            : null;
    }

    /// <summary>Sizes relative to the planned run: 1 where all are equal, as given where they are near 1, else relative to the largest.</summary>
    private List<double> Sizes(List<FoundRun> runs)
    {
        var given = runs.Where(run => run.Size is not null).Select(run => run.Size!.Value).ToList();
        if (given.Count == 0 || given.TrueForAll(size => size == given[0]))
            return runs.ConvertAll(_ => 1.0);
        if (given.TrueForAll(size => size is >= 1 / NearOne and <= NearOne))
            return runs.ConvertAll(run => run.Size ?? 1);

        var largest = given.Max();
        findings.Add(new Finding(
            FindingKind.SizesScaled, runs.Find(run => run.Size is not null)!.SizeCell?.At, runs.Find(run => run.Size == largest)!.SizeCell?.Text ?? ""));
        return runs.ConvertAll(run => run.Size is { } size ? Math.Max(size / largest, double.Epsilon) : 1);
    }

    /// <summary>
    /// Pastes one below the other, parted by blank lines, that measure the same core counts again are a sitting each. A block
    /// of one core count is no sitting but a group of repeats.
    /// </summary>
    private List<int?>? SittingsByBlanks(List<FoundRun> runs)
    {
        int[] blanks = [.. lines.Where(line => line.Text.AsSpan().IsWhiteSpace()).Select(line => line.Number)];
        int BlockOf(FoundRun run) => blanks.Count(blank => blank < run.ValueAt.Line);
        if (blanks.Length == 0)
            return null;
        int[] blockOfRun = [.. runs.Select(BlockOf)];
        var blocks = runs.Zip(blockOfRun).GroupBy(pair => pair.Second, pair => pair.First).ToList();
        var first = blocks[0].Select(run => run.Cores).ToHashSet();
        if (blocks.Count < 2 || blocks.Exists(block => block.Select(run => run.Cores).Distinct().Count() < 2 || !block.Any(run => first.Contains(run.Cores))))
            return null;
        findings.Add(new Finding(FindingKind.BlankLineSittings, blocks[1].First().CoresAt, blocks.Count.ToString("#,0", CultureInfo.InvariantCulture)));
        int[] order = [.. blocks.Select(block => block.Key)];
        return [.. blockOfRun.Select(block => (int?)(Array.IndexOf(order, block) + 1))];
    }

    /// <summary>Sittings by number where all are numbered, else in the order they come; by blank lines where none is named.</summary>
    private List<int?> Sittings(List<FoundRun> runs)
    {
        if (runs.Count > 0 && runs.TrueForAll(run => run.Sitting is null) && SittingsByBlanks(runs) is { } byBlanks)
            return byBlanks;
        var names = runs.Where(run => run.Sitting is not null).Select(run => run.Sitting!).Distinct(StringComparer.Ordinal).ToList();
        var numbers = new Dictionary<string, int>(StringComparer.Ordinal);
        foreach (var name in names)
        {
            if (!int.TryParse(name, NumberStyles.Integer, CultureInfo.InvariantCulture, out var number))
            {
                numbers.Clear();
                for (var i = 0; i < names.Count; i++)
                    numbers.Add(names[i], i + 1);
                break;
            }

            numbers.Add(name, number);
        }

        return runs.ConvertAll(run => run.Sitting is { } name ? numbers[name] : (int?)null);
    }

    private static string Plural(ValueKind kind) => kind == ValueKind.Speedup ? "speedups" : "rates";

    private static double Median(IEnumerable<double> values)
    {
        var sorted = values.Order().ToList();
        var middle = sorted.Count / 2;
        return sorted.Count % 2 == 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
    }
}
