using System.ComponentModel;
using System.ComponentModel.DataAnnotations;

namespace Capacityplan.Web.Api;

/// <summary>A parallel phase and the pools to simulate it on.</summary>
public sealed record SimulationRequest
{
    /// <summary>The phase; its kind has to be "parallel".</summary>
    [Required]
    public PhaseRequest? Phase { get; init; }

    /// <summary>Workers of each pool, one to a core, in the order wanted.</summary>
    [Required]
    [MinLength(1)]
    [MaxLength(100)]
    [Range(1, SimulationOrder.MostCores)]
    public IReadOnlyList<int>? Cores { get; init; }

    /// <summary>Runs simulated on each pool.</summary>
    [Range(1, 100_000)]
    [DefaultValue(200)]
    public int? Replicates { get; init; }

    /// <summary>Seed of everything random; the same request and seed give the same answer, byte for byte.</summary>
    [DefaultValue(1)]
    public int? Seed { get; init; }
}
