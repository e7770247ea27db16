using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Planning;

/// <summary>How far phases and timings of one job go together.</summary>
public enum CalibrationFitness
{
    /// <summary>The phases explain the timings; they carry the forecast.</summary>
    Agrees,

    /// <summary>Phases and a curve of the timings' own explain them about as well; the forecast takes curves from both.</summary>
    InPart,

    /// <summary>The phases do not explain the timings, which carry the forecast.</summary>
    Disagrees,
}

/// <summary>A measured core count beside the calibrated phases.</summary>
/// <param name="Cores">Cores as stated.</param>
/// <param name="CoresWorth">What they are worth in physical cores.</param>
/// <param name="OffTheFit">Median of the runs over the calibrated phases' time, less 1.</param>
public sealed record CalibrationResidual(int Cores, double CoresWorth, double OffTheFit);

/// <summary>
/// What timings say of a job's phases: by which factors what is stated of them has to be multiplied to match, and how well they
/// match then. Bands hold 80 of 100 calibrations.
/// </summary>
public sealed record Calibration
{
    /// <summary>Phases and timings further apart than this at a core count are worth a word even where the phases carry the forecast.</summary>
    private const double FarApart = 0.15;

    /// <summary>Factor of all durations: units and serial phases.</summary>
    public required Band WorkFactor { get; init; }

    /// <summary>Factor of what the pool costs: forks, joins, combining, steals, waking.</summary>
    public required Band OverheadFactor { get; init; }

    /// <summary>Factor of the span, on top of that of the durations.</summary>
    public required Band SpanFactor { get; init; }

    /// <summary>How far each measured core count is off, ascending; one or more.</summary>
    public required ImmutableArray<CalibrationResidual> Residuals { get; init; }

    /// <summary>The share of the forecast's curves that comes from the phases; the rest is fitted to the timings alone.</summary>
    public required double Share { get; init; }

    /// <summary>What the job is described by, in the plural: "phases", or "tasks" of a graph.</summary>
    public string Described { get; init; } = "phases";

    /// <summary>How far description and timings go together.</summary>
    public CalibrationFitness Fitness => Share >= 0.5 ? CalibrationFitness.Agrees : Share > 0 ? CalibrationFitness.InPart : CalibrationFitness.Disagrees;

    /// <summary>The core count furthest off.</summary>
    public CalibrationResidual Worst => Residuals.MaxBy(residual => Math.Abs(residual.OffTheFit))!;

    /// <summary>How well it fits, in plain sentences.</summary>
    public string Statement => string.Join(" ", ((string?[])[Fit(), Factors()]).OfType<string>());

    private string Fit()
    {
        string apart = Figures.Percent(Math.Abs(Worst.OffTheFit));
        string at = $"{Figures.Count(Worst.Cores)} {(Worst.Cores == 1 ? "core" : "cores")}";
        if (Residuals.Length == 1)
            return $"Timings on one core count set the speed of the {Described}; they cannot check how these scale.";
        return Fitness switch
        {
            CalibrationFitness.Agrees when Math.Abs(Worst.OffTheFit) <= FarApart =>
                $"Timings and {Described} agree within {apart} at every core count measured: the {Described}, matched to the timings, carry the forecast.",
            CalibrationFitness.Agrees =>
                $"Timings and {Described} agree but for {at}, {apart} apart: the {Described}, matched to the timings, carry the forecast.",
            CalibrationFitness.InPart =>
                $"Timings and {Described} agree in part: they are {apart} apart at {at}. {Figures.Count(Math.Round(100 * Share))} of 100 curves come from the {Described}, the others from the timings alone.",
            _ => $"Timings and {Described} do not agree: at best they are {apart} apart at {at}. The timings carry the forecast.",
        };
    }

    /// <summary>The factors worth a word: those that certainly differ from 1 by more than a tenth.</summary>
    private string? Factors()
    {
        if (Fitness == CalibrationFitness.Disagrees)
            return null;
        (string What, Band Factor)[] factors = [("their durations", WorkFactor), ("what the pool costs", OverheadFactor), ("their span", SpanFactor)];
        string[] said =
        [
            .. factors.Where(named => named.Factor.Low > 1.1 || named.Factor.High < 1 / 1.1)
                .Select(named => $"{named.What} {Written(named.Factor.Median)} times what is stated"),
        ];
        return said.Length == 0 ? null : $"To match, {string.Join(", ", said[..^1])}{(said.Length > 1 ? " and " : "")}{said[^1]} had to be taken.";
    }

    private static string Written(double factor) =>
        factor.ToString(factor < 0.095 ? "0.0##" : factor < 9.95 ? "0.0#" : "#,0", CultureInfo.InvariantCulture);
}
