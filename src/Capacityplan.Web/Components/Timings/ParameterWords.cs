using System.Globalization;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Timings;

/// <summary>A model's parameter as it is shown: its name in words, its figure, its unit.</summary>
public static class ParameterWords
{
    /// <summary>Writes one.</summary>
    /// <param name="name">Its name, with the unit in it.</param>
    /// <param name="value">Its figure.</param>
    public static string Of(string name, double value) => name switch
    {
        "oneCoreSeconds" => $"one core {Figures.Time(value)}",
        "serialFraction" => $"serial {Figures.Percent(value)}",
        "serialSeconds" => $"B {Figures.Time(value)}",
        "parallelSeconds" => $"A {Figures.Time(value)}",
        "secondsPerLevel" => $"C {Figures.Time(value)} a level",
        "overhead" => $"c {Significant(value)}",
        "power" => $"g {Significant(value)}",
        "contention" => $"a {Significant(value)}",
        "coherency" => $"b {Significant(value)}",
        "coresWorthOfRate" => $"rate of {Significant(value)} cores",
        "step" => $"h {Significant(value)} of the work",
        "kneeCores" => $"k {Significant(value)} cores",
        "sizeRestShare" => $"u {Significant(value)}",
        "sizePower" => $"input to the power {Significant(value)}",
        "workFactor" => $"w {Significant(value)}",
        "overheadFactor" => $"o {Significant(value)}",
        "spanFactor" => $"s {Significant(value)}",
        _ when name.EndsWith("Seconds", StringComparison.Ordinal) => $"{name[..^7]} {Figures.Time(value)}",
        _ => $"{name} {Significant(value)}",
    };

    private static string Significant(double value) => value.ToString(Math.Abs(value) is > 0 and < 1e-3 ? "0.#e+0" : "G3", CultureInfo.InvariantCulture);
}
