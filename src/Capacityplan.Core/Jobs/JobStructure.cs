namespace Capacityplan.Core.Jobs;

/// <summary>A job described by what it consists of: phases that run one after another.</summary>
public sealed class JobStructure
{
    private readonly Phase[] _phases;

    /// <summary>Puts phases in order.</summary>
    /// <param name="phases">The phases in the order they run; one or more, together taking time.</param>
    /// <exception cref="ArgumentException">There is no phase, or they take no time.</exception>
    public JobStructure(IEnumerable<Phase> phases)
    {
        ArgumentNullException.ThrowIfNull(phases);
        _phases = [.. phases];
        if (_phases.Length == 0)
            throw new ArgumentException("A job needs at least one phase.", nameof(phases));
        foreach (Phase phase in _phases)
        {
            ArgumentNullException.ThrowIfNull(phase, nameof(phases));
            WorkSeconds += phase.WorkSeconds;
            SpanSeconds += phase.SpanSeconds;
        }

        if (!(WorkSeconds > 0))
            throw new ArgumentException("The phases take no time; at least one has to take more than 0 seconds.", nameof(phases));
    }

    /// <summary>The phases in the order they run; one or more.</summary>
    public IReadOnlyList<Phase> Phases => _phases;

    /// <summary>Mean T1, seconds on one core, what the pool costs counted; above 0.</summary>
    public double WorkSeconds { get; }

    /// <summary>Mean T_inf, seconds: the spans of the phases, one after another; above 0.</summary>
    public double SpanSeconds { get; }

    /// <summary>T1/T_inf: the mean number of workers that could be kept busy; 1 or more.</summary>
    public double Parallelism => WorkSeconds / SpanSeconds;
}
