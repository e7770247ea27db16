using System.Collections.Immutable;
using System.Text.Json.Serialization;
using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Planning;

/// <summary>What holds a run back at a core count.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<Limit>))]
public enum Limit
{
    /// <summary>The work itself: more cores still shorten it.</summary>
    [JsonStringEnumMemberName("work")] Work,

    /// <summary>The span: the longest chain that must run in order.</summary>
    [JsonStringEnumMemberName("span")] Span,

    /// <summary>Forks, joins and steals.</summary>
    [JsonStringEnumMemberName("overhead")] Overhead,

    /// <summary>Workers in each other's way: locks, shared lines.</summary>
    [JsonStringEnumMemberName("contention")] Contention,

    /// <summary>Memory or another shared rate.</summary>
    [JsonStringEnumMemberName("bandwidth")] Bandwidth,

    /// <summary>Serial parts, where they are known apart from the span.</summary>
    [JsonStringEnumMemberName("serial")] Serial,
}

/// <summary>What a forecast rests on.</summary>
public enum ForecastBasis
{
    /// <summary>Measured runs.</summary>
    Timings,

    /// <summary>Work and span as stated.</summary>
    WorkAndSpan,

    /// <summary>Phases as stated.</summary>
    Structure,

    /// <summary>Phases, made to match measured runs.</summary>
    CalibratedStructure,

    /// <summary>A task graph as given.</summary>
    TaskGraph,

    /// <summary>A task graph, made to match measured runs.</summary>
    CalibratedTaskGraph,

    /// <summary>The forecasts of all jobs of a night.</summary>
    SharedNight,
}

/// <summary>The forecast at one core count, for plain cores at the speed measured on.</summary>
/// <param name="Cores">Cores' worth; 1 or more, need not be whole.</param>
/// <param name="Seconds">Run time of the next run, seconds.</param>
/// <param name="Speedup">Against the forecast's own median on one core.</param>
/// <param name="Efficiency">Median speedup over cores.</param>
/// <param name="FloorSeconds">No schedule is faster: max(T1/p, T_inf), seconds.</param>
/// <param name="GreedyCeilingSeconds">No greedy schedule is slower, steals not counted: (T1 - T_inf)/p + T_inf, seconds.</param>
/// <param name="LimitedBy">What holds it back there.</param>
public sealed record ForecastPoint(
    double Cores, Band Seconds, Band Speedup, double Efficiency, double FloorSeconds, double GreedyCeilingSeconds, Limit LimitedBy);

/// <summary>Core counts over which the same thing holds a run back most.</summary>
/// <param name="LimitedBy">What does.</param>
/// <param name="FromCores">From so many cores on; 1 for the first range.</param>
/// <param name="ToCores">Up to so many; null where it does as far as the forecast goes.</param>
public sealed record LimitRange(Limit LimitedBy, double FromCores, double? ToCores);

/// <summary>The core count worth measuring next.</summary>
/// <param name="Cores">Cores.</param>
/// <param name="BandShrinkage">1 - new width / old width of the band at the largest asked core count; from 0 to 1.</param>
public sealed record NextMeasurement(int Cores, double BandShrinkage);

/// <summary>A measured core count beside the fit.</summary>
/// <param name="Cores">Cores as stated.</param>
/// <param name="CoresWorth">What they are worth in physical cores: fewer where threads share a core.</param>
/// <param name="MedianSeconds">Median of its runs, seconds.</param>
/// <param name="Runs">How many runs.</param>
/// <param name="Spread">Largest over smallest run, less 1; null where there is one run.</param>
/// <param name="OffTheFit">Median over the forecast's median, less 1.</param>
public sealed record MeasuredPoint(int Cores, double CoresWorth, double MedianSeconds, int Runs, double? Spread, double OffTheFit);

/// <summary>How a job scales: the run time against cores, at the speed of the machine measured on.</summary>
public sealed record Forecast
{
    /// <summary>What it rests on.</summary>
    public required ForecastBasis Basis { get; init; }

    /// <summary>The largest measured core count; null where nothing was measured.</summary>
    public required int? MeasuredUpToCores { get; init; }

    /// <summary>T1, seconds on one core.</summary>
    public required double WorkSeconds { get; init; }

    /// <summary>T_inf, seconds; with timings only, what the fit cannot make parallel.</summary>
    public required double SpanSeconds { get; init; }

    /// <summary>Share of the one-core run that is serial (span over work); from 0 to 1.</summary>
    public required double SerialFraction { get; init; }

    /// <summary>Run-to-run noise, as the standard deviation of the logarithm of the run time.</summary>
    public required double RunToRunNoise { get; init; }

    /// <summary>The central share of the next run's time that a band holds.</summary>
    public required double BandShare { get; init; }

    /// <summary>At the core counts asked for.</summary>
    public required ImmutableArray<ForecastPoint> Points { get; init; }

    /// <summary>On a dense grid of core counts, evenly spaced in log2 from 1, for drawing.</summary>
    public required ImmutableArray<ForecastPoint> Curve { get; init; }

    /// <summary>The measured core counts beside the fit, ascending; empty where nothing was measured.</summary>
    public required ImmutableArray<MeasuredPoint> Measured { get; init; }

    /// <summary>The models it averages over, largest share first.</summary>
    public required ImmutableArray<FittedModel> Models { get; init; }

    /// <summary>What holds it back from which core count on, ascending; at least one.</summary>
    public required ImmutableArray<LimitRange> Limits { get; init; }

    /// <summary>How the run time grows with the input, as far as runs of several sizes say; null where there are none and it is
    /// taken to grow in proportion.</summary>
    public SizeGrowth? Growth { get; init; }

    /// <summary>The core count from which the span outweighs the share of the work: T1/T_inf - 1; null where the span is 0.</summary>
    public required double? SpanBindsFromCores { get; init; }

    /// <summary>The core count worth measuring next; null where it is not worked out.</summary>
    public required NextMeasurement? NextMeasurement { get; init; }

    /// <summary>What the timings say besides the curve; null where they make no curve. Beside phases they are read apart from these.</summary>
    public TimingDiagnostics? Diagnostics { get; init; }

    /// <summary>What the timings say of the job's phases; null where not both are given.</summary>
    public Calibration? Calibration { get; init; }
}
