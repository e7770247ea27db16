using System.Collections.Immutable;

namespace Capacityplan.Core.Machines;

/// <summary>A kind of machine that can be had, and the ways to pay for it.</summary>
public sealed record MachineType
{
    /// <summary>Its name, as the person who entered it calls it; not blank.</summary>
    public required string Name { get; init => field = Require.NotBlank(value, nameof(Name)); }

    /// <summary>Hardware threads it shows to its operating system; 1 or more.</summary>
    public required int HardwareThreads { get; init => field = Require.AtLeast(value, 1, nameof(HardwareThreads)); }

    /// <summary>Physical cores behind those threads; 1 or more. More cores than threads count as that many threads.</summary>
    public required int PhysicalCores { get; init => field = Require.AtLeast(value, 1, nameof(PhysicalCores)); }

    /// <summary>Speed of one core relative to the reference core (1); above 0.</summary>
    public double RelativeCoreSpeed { get; init => field = Require.Positive(value, nameof(RelativeCoreSpeed)); } = 1;

    /// <summary>Memory, GiB; above 0.</summary>
    public required double MemoryGiB { get; init => field = Require.Positive(value, nameof(MemoryGiB)); }

    /// <summary>Memory bandwidth, GB/s; above 0, null where not known.</summary>
    public double? MemoryBandwidthGBps
    {
        get;
        init => field = value is { } known ? Require.Positive(known, nameof(MemoryBandwidthGBps)) : null;
    }

    /// <summary>Seconds from asking for the machine until the job starts; 0 or more. They are paid for.</summary>
    public double StartUpSeconds { get; init => field = Require.NotNegative(value, nameof(StartUpSeconds)); }

    /// <summary>The ways to pay for it; at least one.</summary>
    public required ImmutableArray<PurchaseOption> Purchase
    {
        get;
        init => field = value.IsDefaultOrEmpty
            ? throw new ArgumentException("A machine needs at least one way to pay for it.", nameof(Purchase))
            : value;
    }

    /// <summary>
    /// What its threads are worth in physical cores of its own kind: p threads on c cores run like
    /// min(p, c) + gain x max(0, p - c) cores.
    /// </summary>
    /// <param name="secondThreadGain">What a second thread on a core adds, as a share of a core; from 0 to 1.
    /// 0.15 to 0.35 is common practice, no source.</param>
    public double EffectiveCores(double secondThreadGain)
    {
        Require.Within(secondThreadGain, 0, 1);
        int cores = Math.Min(PhysicalCores, HardwareThreads);
        return cores + secondThreadGain * (HardwareThreads - cores);
    }
}
