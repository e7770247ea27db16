using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Planning;

/// <summary>
/// What a described phase may hold: wide enough for any job, narrow enough that no sum of it leaves the range of a double and
/// that the longest of many units can be worked out at once.
/// </summary>
public static class PhaseLimits
{
    /// <summary>The most phases of a job.</summary>
    public const int MostPhases = 200;

    /// <summary>The most units of a phase.</summary>
    public const long MostUnits = RangeTree.MostUnits;

    /// <summary>The shortest time of a unit that has to take some, seconds.</summary>
    public const double LeastSeconds = 1e-12;

    /// <summary>The longest time of a unit or a serial phase, seconds.</summary>
    public const double MostSeconds = 1e9;

    /// <summary>The largest cost of a fork, join, steal or wake-up, seconds.</summary>
    public const double MostCostSeconds = 1_000;

    /// <summary>The least interval between a thief's tries, seconds.</summary>
    public const double LeastTrySeconds = 1e-12;

    /// <summary>The most mean work of all phases together, seconds.</summary>
    public const double MostWorkSeconds = 1e12;

    /// <summary>The least shape of a gamma distribution: a standard deviation of 100 means.</summary>
    public const double LeastShape = 1e-4;

    /// <summary>The largest shape: a standard deviation of a thousandth of the mean.</summary>
    public const double MostShape = 1e6;

    /// <summary>The least standard deviation of a lognormal duration's logarithm.</summary>
    public const double LeastSigma = 1e-6;

    /// <summary>The largest.</summary>
    public const double MostSigma = 10;

    /// <summary>The least tail exponent of a bounded Pareto distribution.</summary>
    public const double LeastAlpha = 0.01;

    /// <summary>The largest.</summary>
    public const double MostAlpha = 100;

    /// <summary>The most memory traffic of a unit, bytes.</summary>
    public const double MostBytes = 1e18;
}
