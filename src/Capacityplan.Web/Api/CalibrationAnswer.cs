using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>By which factors what is stated of the phases has to be multiplied to match the timings, and how well they match
/// then. Bands hold 80 of 100 calibrations.</summary>
/// <param name="WorkFactor">Factor of all durations.</param>
/// <param name="OverheadFactor">Factor of what the pool costs.</param>
/// <param name="SpanFactor">Factor of the span, on top of that of the durations.</param>
/// <param name="Share">The share of the forecast that comes from the phases, from 0 to 1; the rest is fitted to the timings alone.</param>
/// <param name="Residuals">How far each measured core count is off the phases, ascending.</param>
/// <param name="Statement">How well they match, in words.</param>
public sealed record CalibrationAnswer(
    Band WorkFactor, Band OverheadFactor, Band SpanFactor, double Share, ImmutableArray<ResidualAnswer> Residuals, string Statement)
{
    /// <summary>Writes a calibration.</summary>
    public static CalibrationAnswer Of(Calibration calibration) => new(
        calibration.WorkFactor, calibration.OverheadFactor, calibration.SpanFactor, calibration.Share,
        [.. calibration.Residuals.Select(residual => new ResidualAnswer(residual.Cores, residual.OffTheFit))], calibration.Statement);
}

/// <summary>A measured core count beside the calibrated phases.</summary>
/// <param name="Cores">Cores as stated.</param>
/// <param name="OffTheFit">Median of the runs over the phases' time, less 1.</param>
public sealed record ResidualAnswer(int Cores, double OffTheFit);
