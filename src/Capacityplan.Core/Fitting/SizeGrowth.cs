using System.Collections.Immutable;

namespace Capacityplan.Core.Fitting;

/// <summary>A law of how work grows with the input, and its share in the forecast.</summary>
/// <param name="Name">Its name: linear, n log n, power.</param>
/// <param name="Formula">Its formula, in plain characters.</param>
/// <param name="Weight">Its share; the shares add up to 1.</param>
public sealed record SizeLawShare(string Name, string Formula, double Weight);

/// <summary>What runs of several input sizes say of how the run time grows with the input.</summary>
/// <param name="Smallest">The smallest input measured, times the planned one.</param>
/// <param name="Largest">The largest.</param>
/// <param name="Laws">The laws averaged over, largest share first.</param>
/// <param name="Exponent">By what power the run time on one core grows about the planned input; the band holds 80 of 100 curves.</param>
/// <param name="RestShare">What more cores do not shorten grows as the work to this power: 0 where it stays, 1 where it
/// grows like the work; the band holds 80 of 100 curves.</param>
public sealed record SizeGrowth(double Smallest, double Largest, ImmutableArray<SizeLawShare> Laws, Band Exponent, Band RestShare);
