namespace Capacityplan.Core.Jobs;

/// <summary>
/// What the pool itself costs, in seconds. The defaults lie in the ranges measured on three pools of a 16-core machine
/// (fork and join together 35 to 300 ns); those of the steal figures (tries of 0.1 to 0.5 us, steals of 0.5 to 2 us)
/// are common practice, no source.
/// </summary>
public sealed record SchedulingCosts
{
    /// <summary>Seconds to split a range and push one half on the worker's own deque; 0 or more.</summary>
    public double ForkSeconds { get; init => field = Require.NotNegative(value, nameof(ForkSeconds)); } = 5e-8;

    /// <summary>Seconds to join two finished halves; 0 or more.</summary>
    public double JoinSeconds { get; init => field = Require.NotNegative(value, nameof(JoinSeconds)); } = 5e-8;

    /// <summary>Mean seconds between a thief's tries; 0 or more.</summary>
    public double StealAttemptSeconds { get; init => field = Require.NotNegative(value, nameof(StealAttemptSeconds)); } = 2e-7;

    /// <summary>Seconds a thief is busy with a steal that succeeded, before it starts the stolen item; 0 or more.</summary>
    public double StealSeconds { get; init => field = Require.NotNegative(value, nameof(StealSeconds)); } = 1e-6;
}
