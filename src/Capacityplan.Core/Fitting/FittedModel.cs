using System.Collections.Immutable;

namespace Capacityplan.Core.Fitting;

/// <summary>A model fitted to timings.</summary>
/// <param name="Name">The model's name.</param>
/// <param name="Formula">Its formula, in plain characters.</param>
/// <param name="Weight">Its share in the forecast; the shares add up to 1.</param>
/// <param name="Parameters">Its parameters by name, where it fits best.</param>
public sealed record FittedModel(string Name, string Formula, double Weight, ImmutableSortedDictionary<string, double> Parameters)
{
    /// <summary>Akaike's criterion for few points, of plain least squares on the log-times, less the best model's; null where
    /// there are fewer core counts than it needs: two more than the model has parameters.</summary>
    public double? AiccAboveBest { get; init; }

    /// <summary>How far its forecast of the largest core counts, fitted without them, is off what they took: the root mean
    /// square of the natural logarithms; null where fewer than two core counts would be left.</summary>
    public double? LeftOutError { get; init; }
}
