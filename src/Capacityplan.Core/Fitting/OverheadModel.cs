using System.Collections.Immutable;

namespace Capacityplan.Core.Fitting;

/// <summary>
/// A scaling model of the form T(p) = T1 (1 + h(p)) / p, where the overhead h is a sum of known shapes with unknown sizes,
/// each 0 or more and each shape 0 at one core. Amdahl's and the universal scalability law are both of this form.
/// </summary>
public sealed class OverheadModel
{
    private readonly Func<double, double>[] _shapes;

    private OverheadModel(
        string name, string formula, double priorWeight, ImmutableArray<OverheadTerm> terms, params Func<double, double>[] shapes)
    {
        Name = name;
        Formula = formula;
        PriorWeight = priorWeight;
        Terms = terms;
        _shapes = shapes;
    }

    /// <summary>
    /// T = A/p + B: parallel work and a part that stays, as T1 (1 + s (p - 1))/p with s = B/T1. Amdahl, AFIPS Spring Joint
    /// Computer Conference 1967. It never rises again, however many cores.
    /// </summary>
    public static OverheadModel SerialPlusParallel { get; } = new(
        "serial plus parallel", "T = A/p + B", 0.6,
        [new("serialFraction", Most: 1, PriorScale: 0.15)],
        static p => p - 1);

    /// <summary>
    /// T = A (1 + a (p - 1) + b p (p - 1))/p: contention a and coherency b; rises again past sqrt((1 - a)/b) cores.
    /// Gunther, Guerrilla Capacity Planning, Springer 2007, chapters 4 to 6.
    /// </summary>
    public static OverheadModel UniversalScalability { get; } = new(
        "universal scalability", "T = A (1 + a (p - 1) + b p (p - 1))/p", 0.4,
        [new("contention", Most: 1, PriorScale: 0.15), new("coherency", Most: 1, PriorScale: 0.003)],
        static p => p - 1, static p => p * (p - 1));

    /// <summary>The models a forecast averages over.</summary>
    public static ImmutableArray<OverheadModel> All { get; } = [SerialPlusParallel, UniversalScalability];

    /// <summary>Its name.</summary>
    public string Name { get; }

    /// <summary>Its formula, in plain characters.</summary>
    public string Formula { get; }

    /// <summary>Its weight before any timing is seen; those of <see cref="All"/> add up to 1.</summary>
    public double PriorWeight { get; }

    /// <summary>The sizes to be fitted.</summary>
    public ImmutableArray<OverheadTerm> Terms { get; }

    /// <summary>A shape of the overhead at a core count.</summary>
    /// <param name="term">Which, from 0.</param>
    /// <param name="cores">Cores; 1 or more.</param>
    public double Shape(int term, double cores) => _shapes[term](cores);

    /// <summary>Run time, seconds.</summary>
    /// <param name="oneCoreSeconds">T1, seconds.</param>
    /// <param name="sizes">One size a term; each 0 or more.</param>
    /// <param name="cores">Cores; 1 or more.</param>
    public double Seconds(double oneCoreSeconds, ReadOnlySpan<double> sizes, double cores)
    {
        double overhead = 0;
        for (int term = 0; term < sizes.Length; term++)
            overhead += sizes[term] * _shapes[term](cores);
        return oneCoreSeconds * (1 + overhead) / cores;
    }
}

/// <summary>A term of an <see cref="OverheadModel"/>'s overhead.</summary>
/// <param name="Name">Its name in results.</param>
/// <param name="Most">The largest size it may take.</param>
/// <param name="PriorScale">Its size before any timing is seen is half-normal with this scale: a weak belief that work
/// is mostly parallel, which two noisy timings alone could not tell from its opposite. It fades as timings come in.</param>
public sealed record OverheadTerm(string Name, double Most, double PriorScale);

/// <summary>A model fitted to timings.</summary>
/// <param name="Name">The model's name.</param>
/// <param name="Formula">Its formula, in plain characters.</param>
/// <param name="Weight">Its share in the forecast; the shares add up to 1.</param>
/// <param name="Parameters">Its parameters by name.</param>
public sealed record FittedModel(string Name, string Formula, double Weight, ImmutableSortedDictionary<string, double> Parameters);
