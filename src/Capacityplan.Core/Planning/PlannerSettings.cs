using System.Collections.Immutable;

namespace Capacityplan.Core.Planning;

/// <summary>How a plan is worked out.</summary>
public sealed record PlannerSettings
{
    /// <summary>Seed of everything random.</summary>
    public int Seed { get; init; } = 1;

    /// <summary>The central share of the next run's time that a band holds; above 0 and below 1.</summary>
    public double BandShare
    {
        get;
        init => field = value > 0 && value < 1
            ? value
            : throw new ArgumentOutOfRangeException(nameof(BandShare), value, "The share a band holds has to lie above 0 and below 1.");
    } = 0.8;

    /// <summary>Core counts to forecast, each 1 or more; in the order wanted.</summary>
    public ImmutableArray<int> Cores { get; init; } = [1, 2, 4, 8, 16, 32, 64, 128];

    /// <summary>True to work out whether measuring more would change the machine chosen.</summary>
    public bool SimulateNextRuns { get; init; } = true;

    /// <summary>True to advise on the next measurement for the chosen machine's cores; false for the largest of <see cref="Cores"/>.</summary>
    public bool AdviseForChoice { get; init; }
}
