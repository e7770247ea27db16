using System.Text.Json.Serialization;

namespace Capacityplan.Core.Machines;

/// <summary>
/// Paid by the time used, cheaper because its owner may take the machine back at any time. Interruptions come at random, as
/// often in every hour; after each a machine is asked for again, and what was done since the last checkpoint is lost.
/// </summary>
public sealed record InterruptiblePurchase : HourlyPurchase
{
    /// <summary>The kind's name.</summary>
    public const string KindName = "interruptible";

    /// <summary>The most interruptions in an hour: one a second.</summary>
    public const double MostInterruptionsPerHour = 3_600;

    private const double MostSeconds = 1e9;

    /// <inheritdoc/>
    [JsonIgnore] // not inherited: without it the property clashes with the discriminator
    public override string Kind => KindName;

    /// <summary>Interruptions in an hour of use, on average; from 0 to <see cref="MostInterruptionsPerHour"/>.</summary>
    public required double InterruptionsPerHour { get; init => field = Require.Within(value, 0, MostInterruptionsPerHour, nameof(InterruptionsPerHour)); }

    /// <summary>Seconds from an interruption until the job goes on, a new machine's start-up included; from 0 to 1,000,000,000.</summary>
    public double RestartSeconds { get; init => field = Require.Within(value, 0, MostSeconds, nameof(RestartSeconds)); }

    /// <summary>Seconds that writing a checkpoint takes; above 0 and at most 1,000,000,000, null where the job writes none and begins anew.</summary>
    public double? CheckpointSeconds { get; init => field = value is { } known ? Require.Positive(Require.Within(known, 0, MostSeconds, nameof(CheckpointSeconds)), nameof(CheckpointSeconds)) : null; }
}
