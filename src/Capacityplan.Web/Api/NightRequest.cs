using System.ComponentModel;
using System.ComponentModel.DataAnnotations;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>Other jobs that share the job's night: its window, and one machine that is started once for all of them. Machines,
/// chances and verdict are then for the whole night.</summary>
public sealed record NightRequest
{
    /// <summary>The jobs that must have ended before the request's own starts, by name.</summary>
    [MaxLength(SharedNight.MostJobs)]
    public IReadOnlyList<string?>? After { get; init; }

    /// <summary>True where jobs that do not wait for each other may run side by side, sharing the cores, when that ends the night sooner;
    /// their memory is then needed at once. False where all run one after another.</summary>
    [DefaultValue(true)]
    public bool? MayShareCores { get; init; }

    /// <summary>The other jobs.</summary>
    [Required]
    [MinLength(1)]
    [MaxLength(SharedNight.MostJobs - 1)]
    public IReadOnlyList<NightJobRequest?>? Jobs { get; init; }
}

/// <summary>Another job of the night.</summary>
public sealed record NightJobRequest
{
    /// <summary>Its name; no other job of the night has it, capital letters or not. The request's own job is called by its name, or
    /// "own" where it has none.</summary>
    [Required]
    [MaxLength(200)]
    public string? Name { get; init; }

    /// <summary>The jobs that must have ended before it starts, by name.</summary>
    [MaxLength(SharedNight.MostJobs)]
    public IReadOnlyList<string?>? After { get; init; }

    /// <summary>The job. Window, nights, growth, runs a month and a night of its own have no place here.</summary>
    [Required]
    public JobRequest? Job { get; init; }
}
