using System.Collections.Immutable;
using System.Text.Json.Serialization;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>How the job scales, on plain cores at the speed measured on.</summary>
/// <param name="MeasuredUpToCores">The largest measured core count; null where nothing was measured.</param>
/// <param name="WorkSeconds">Work T1: seconds on one core; null where one core count was measured, and not 1.</param>
/// <param name="SpanSeconds">Span, seconds; with timings only, what the fit cannot make parallel. Null where one core count was measured.</param>
/// <param name="Points">The forecast at the core counts asked for, in their order; empty where one core count was measured.</param>
/// <param name="Limits">What holds the job back from which core count on, ascending.</param>
/// <param name="Models">The models it averages over, largest weight first.</param>
/// <param name="NextMeasurement">The core count worth measuring next; null where none would narrow the band by much, or nothing was measured.</param>
public sealed record ScalingAnswer(
    int? MeasuredUpToCores,
    double? WorkSeconds,
    double? SpanSeconds,
    ImmutableArray<ForecastPoint> Points,
    ImmutableArray<LimitRange> Limits,
    ImmutableArray<ModelAnswer> Models,
    NextMeasurement? NextMeasurement)
{
    /// <summary>Whether measuring more would change the machine chosen; not there without a window, machines or timings.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public OutlookAnswer? Outlook { get; init; }

    /// <summary>Between what times runs at the core counts asked for lie, in their order; there only where one core count was
    /// measured and nothing else describes the job.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<BoundAnswer>? Bounds { get; init; }

    /// <summary>What the timings say besides the curve; not there where they make none.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public DiagnosticsAnswer? Diagnostics { get; init; }

    /// <summary>How the run time grows with the input; not there without runs of another size.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public GrowthAnswer? Growth { get; init; }

    /// <summary>What the timings say of the phases; not there where the job is not described by both.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public CalibrationAnswer? Calibration { get; init; }

    /// <summary>Writes a forecast.</summary>
    public static ScalingAnswer Of(PlanResult result)
    {
        // Where others share the night, the machines are for all of them; the curve is the job's own.
        Forecast forecast = result.OfJob.Forecast;
        return new(
            forecast.MeasuredUpToCores, forecast.WorkSeconds, forecast.SpanSeconds, forecast.Points, forecast.Limits,
            [.. forecast.Models.Select(ModelAnswer.Of)], forecast.NextMeasurement)
        {
            Outlook = result.Outlook is { } outlook ? OutlookAnswer.Of(outlook, result.Verdict) : null,
            Diagnostics = forecast.Diagnostics is { } diagnostics ? DiagnosticsAnswer.Of(result.Plan, diagnostics) : null,
            Growth = forecast.Growth is { } growth ? GrowthAnswer.Of(growth) : null,
            Calibration = forecast.Calibration is { } calibration ? CalibrationAnswer.Of(calibration) : null,
        };
    }

    /// <summary>Writes what one core count bounds.</summary>
    public static ScalingAnswer Of(TimingBounds bounds, ImmutableArray<int> cores) => new(
        bounds.Cores, bounds.CoresWorth == 1 ? bounds.MedianSeconds : null, null, [], [], [], null)
    {
        Bounds = [.. cores.Select(count => new BoundAnswer(count, bounds.FloorSeconds(count), bounds.CeilingSeconds(count)))],
    };
}

/// <summary>Between what times a run lies, as one measured core count bounds it.</summary>
/// <param name="Cores">Cores.</param>
/// <param name="FloorSeconds">No faster, by the work law: as many times the cores, as many times as fast at most.</param>
/// <param name="CeilingSeconds">No slower: more cores do not slow a run down, as long as workers do not get in each other's way.</param>
public sealed record BoundAnswer(int Cores, double FloorSeconds, double CeilingSeconds);

/// <summary>A scaling model and its share in the forecast.</summary>
/// <param name="Name">The model's name.</param>
/// <param name="Formula">Its formula.</param>
/// <param name="Weight">Its share; the shares add up to 1.</param>
/// <param name="Parameters">Its fitted parameters by name, the unit in the name; those of "serial plus parallel" include
/// parallelSeconds and serialSeconds.</param>
/// <param name="AiccAboveBest">Akaike's criterion for few points, less the best model's; null where there are too few core counts.</param>
/// <param name="LeftOutError">How far off it forecasts the largest measured core counts when fitted without them: the root mean square of
/// natural logarithms; null with fewer than three core counts.</param>
public sealed record ModelAnswer(
    string Name, string Formula, double Weight, ImmutableSortedDictionary<string, double> Parameters, double? AiccAboveBest, double? LeftOutError)
{
    /// <summary>Writes a model.</summary>
    public static ModelAnswer Of(FittedModel model) =>
        new(model.Name, model.Formula, model.Weight, model.Parameters, model.AiccAboveBest, model.LeftOutError);
}

/// <summary>Whether measuring more would change the machine chosen, as simulated outcomes of the next runs say.</summary>
/// <param name="Cores">The core count the next runs are taken to be on.</param>
/// <param name="StaysAfterOne">In what share of outcomes of one more run the choice stays.</param>
/// <param name="StaysAfterTwo">The same after two, each in a sitting of its own.</param>
/// <param name="IsEnough">True where both are 0.95 at least: measuring more would hardly change the choice.</param>
/// <param name="Sentence">The same in words.</param>
public sealed record OutlookAnswer(int Cores, double StaysAfterOne, double StaysAfterTwo, bool IsEnough, string Sentence)
{
    /// <summary>Writes an outlook.</summary>
    public static OutlookAnswer Of(MeasurementOutlook outlook, Verdict verdict) => new(
        outlook.Cores, outlook.StaysAfterOne, outlook.StaysAfterTwo, outlook.IsEnough,
        outlook.Sentence(verdict.State == VerdictState.Holds ? verdict.Choice?.Machine.Name : null));
}

/// <summary>How the run time grows with the input, as runs of several sizes say. Bands hold 80 of 100 curves.</summary>
/// <param name="SmallestSize">The smallest input measured, times the planned one.</param>
/// <param name="LargestSize">The largest.</param>
/// <param name="Laws">The laws of the work averaged over, largest weight first.</param>
/// <param name="Exponent">By what power of the input the run time on one core grows, about the planned input.</param>
/// <param name="RestShare">What more cores do not shorten grows as the work to this power: 0 where it stays, 1 where it grows like the work.</param>
/// <param name="Sentence">The same in words.</param>
public sealed record GrowthAnswer(
    double SmallestSize, double LargestSize, ImmutableArray<SizeLawShare> Laws, Band Exponent, Band RestShare, string Sentence)
{
    /// <summary>Writes a growth.</summary>
    public static GrowthAnswer Of(SizeGrowth growth) => new(
        growth.Smallest, growth.Largest, growth.Laws, growth.Exponent, growth.RestShare, GrowthWords.Sentence(growth));
}
