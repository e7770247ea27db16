using System.Collections.Immutable;

namespace Capacityplan.Core.Fitting;

/// <summary>A model fitted to timings.</summary>
/// <param name="Name">The model's name.</param>
/// <param name="Formula">Its formula, in plain characters.</param>
/// <param name="Weight">Its share in the forecast; the shares add up to 1.</param>
/// <param name="Parameters">Its parameters by name, where it fits best.</param>
public sealed record FittedModel(string Name, string Formula, double Weight, ImmutableSortedDictionary<string, double> Parameters);
