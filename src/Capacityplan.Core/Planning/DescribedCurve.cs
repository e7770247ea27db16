using System.Collections.Immutable;
using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Planning;

/// <summary>The expected run time against cores of a job that is described by what it consists of.</summary>
internal abstract class DescribedCurve
{
    /// <summary>What the job is described by, in the plural: "phases".</summary>
    public abstract string What { get; }

    /// <summary>T1, what the pool costs included, seconds.</summary>
    public abstract double WorkSeconds { get; }

    /// <summary>T_inf, seconds.</summary>
    public abstract double SpanSeconds { get; }

    /// <summary>True where the curve goes through simulated means.</summary>
    public abstract bool IsSimulated { get; }

    /// <summary>What the run time consists of.</summary>
    /// <param name="cores">Cores' worth; 1 or more and finite.</param>
    public abstract StructureParts At(double cores);

    /// <summary>Relative standard deviation of simulated runs at a core count; 0 where nothing was simulated.</summary>
    /// <param name="cores">Cores' worth; 1 or more and finite.</param>
    public abstract double RelativeSpread(double cores);

    /// <summary>The curve as a model among others.</summary>
    public abstract FittedModel Describe();

    /// <summary>The figures every such model has.</summary>
    protected ImmutableSortedDictionary<string, double> Figures() => ImmutableSortedDictionary.CreateRange(StringComparer.Ordinal,
    [
        KeyValuePair.Create("workSeconds", WorkSeconds), KeyValuePair.Create("spanSeconds", SpanSeconds),
        KeyValuePair.Create("overheadSeconds", At(1).Overhead),
    ]);
}
