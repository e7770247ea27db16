namespace Capacityplan.Core.Fitting;

/// <summary>A forecast figure: its median and the ends of a central band.</summary>
/// <param name="Median">The median, in the unit of the figure it belongs to.</param>
/// <param name="Low">Lower end of the band; not above the median.</param>
/// <param name="High">Upper end of the band; not below the median.</param>
public readonly record struct Band(double Median, double Low, double High)
{
    /// <summary>The band with each figure multiplied by a factor above 0.</summary>
    public Band Times(double factor) => new(Median * factor, Low * factor, High * factor);

    /// <summary>The band with a constant added to each figure.</summary>
    public Band Plus(double constant) => new(Median + constant, Low + constant, High + constant);
}
