using System.Collections.Immutable;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>
/// How the work of a job grows with its input: W(n) = W(1) g(n), n relative to the planned run, g(1) = 1. What more cores do
/// not shorten grows as g(n)^u, u from 0 (it stays, as in Gustafson's scaled runs) to 1 (it grows like the work); before a run
/// of another size is seen values near either end are likelier than those between.
/// </summary>
/// <remarks>J. L. Gustafson, "Reevaluating Amdahl's Law", CACM 31(5), 1988: scaled runs, whose serial part stays.</remarks>
internal sealed record SizeLaw
{
    /// <summary>Elements of the planned input that n log n is taken with: nobody says how many there are, and a factor of 1,000
    /// either way changes the law by less than 3 % over a doubling. An assumption.</summary>
    private const double PlannedElements = 1e6;

    /// <summary>Log-scatter of the power before any run is seen: a power from .5 to 2 is no surprise.</summary>
    private const double PowerScatter = 0.4;

    /// <summary>Above 1 the ends of u are likelier than its middle: a set-up stays, a serial pass over the input grows with it.</summary>
    private const double EndsScatter = 1.5;

    private SizeLaw(string name, string formula, double priorWeight, bool hasPower = false) =>
        (Name, Formula, PriorWeight, HasPower) = (name, formula, priorWeight, hasPower);

    /// <summary>Work in proportion to the input.</summary>
    public static SizeLaw Linear { get; } = new("linear", "n", 0.45);

    /// <summary>Sorting, trees.</summary>
    public static SizeLaw LinearLogarithmic { get; } = new("n log n", "n log n", 0.2);

    /// <summary>Any power.</summary>
    public static SizeLaw Power { get; } = new("power", "n^k", 0.35, hasPower: true);

    /// <summary>The laws averaged over; their prior weights add up to 1.</summary>
    public static ImmutableArray<SizeLaw> All { get; } = [Linear, LinearLogarithmic, Power];

    /// <summary>Its name.</summary>
    public string Name { get; }

    /// <summary>Its formula, in plain characters.</summary>
    public string Formula { get; }

    /// <summary>Its weight before any timing is seen.</summary>
    public double PriorWeight { get; }

    /// <summary>Whether its power is free.</summary>
    public bool HasPower { get; }

    /// <summary>How many coordinates it has: the share u, and the power where it is free.</summary>
    public int Dimensions => HasPower ? 2 : 1;

    /// <summary>The growth that coordinates stand for, which are standard normal before any timing is seen.</summary>
    /// <param name="coordinates"><see cref="Dimensions"/> numbers.</param>
    public InputGrowth At(ReadOnlySpan<double> coordinates) =>
        new(this, RunTimeMixture.StandardNormal(EndsScatter * coordinates[0]), HasPower ? Exp(PowerScatter * coordinates[1]) : 1);

    /// <summary>ln g(n).</summary>
    /// <param name="power">The power, where it is free.</param>
    /// <param name="size">n; above 0.</param>
    public double LogWork(double power, double size)
    {
        double log = Log(size);
        // Inputs of a handful of elements have no logarithm to speak of.
        return this == LinearLogarithmic ? log + Log(Max(0.05, 1 + log / Log(PlannedElements))) : power * log;
    }
}

/// <summary>How a curve grows with the input.</summary>
/// <param name="Law">The law of its work.</param>
/// <param name="RestShare">u; from 0 to 1.</param>
/// <param name="Power">The work's power, where the law leaves it free; else 1.</param>
internal readonly record struct InputGrowth(SizeLaw Law, double RestShare, double Power)
{
    /// <summary>Work grows like the input and so does all else: what is assumed without runs of other sizes.</summary>
    public static InputGrowth Proportional { get; } = new(SizeLaw.Linear, 1, 1);

    /// <summary>T(p)/T1 of the planned input, for another.</summary>
    /// <param name="parts">The parts for the planned input, as shares of T1.</param>
    /// <param name="size">n; above 0.</param>
    public double Share(RunTimeParts parts, double size)
    {
        if (size == 1)
            return parts.TotalSeconds;
        double log = Law.LogWork(Power, size);
        // Memory is waited for in proportion to the work.
        double work = parts.WorkSeconds + parts.BandwidthSeconds;
        return Exp(log) * work + Exp(RestShare * log) * (parts.TotalSeconds - work);
    }
}
