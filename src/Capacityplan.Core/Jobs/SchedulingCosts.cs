namespace Capacityplan.Core.Jobs;

/// <summary>
/// What the pool itself costs, in seconds. The defaults lie in the ranges measured on three pools of a 16-core machine
/// (fork and join together 35 to 300 ns); those of the steal figures (tries of 0.1 to 0.5 us, steals of 0.5 to 2 us)
/// and of waking (5 to 50 us) are common practice, no source. Combining, waking and cold caches are off by default.
/// </summary>
public sealed record SchedulingCosts
{
    /// <summary>Seconds to split a range and push one half on the worker's own deque; 0 or more.</summary>
    public double ForkSeconds { get; init => field = Require.NotNegative(value, nameof(ForkSeconds)); } = 5e-8;

    /// <summary>Seconds to join two finished halves; 0 or more.</summary>
    public double JoinSeconds { get; init => field = Require.NotNegative(value, nameof(JoinSeconds)); } = 5e-8;

    /// <summary>Seconds a join takes on top of <see cref="JoinSeconds"/> for every unit of the joined range; 0 or more.</summary>
    public double CombineSecondsPerUnit { get; init => field = Require.NotNegative(value, nameof(CombineSecondsPerUnit)); }

    /// <summary>Mean seconds between a thief's tries; 0 or more (a simulated phase needs more than 0).</summary>
    public double StealAttemptSeconds { get; init => field = Require.NotNegative(value, nameof(StealAttemptSeconds)); } = 2e-7;

    /// <summary>Seconds a thief is busy with a steal that succeeded, before it starts the stolen item; 0 or more.</summary>
    public double StealSeconds { get; init => field = Require.NotNegative(value, nameof(StealSeconds)); } = 1e-6;

    /// <summary>
    /// Mean seconds, exponentially distributed, until a worker other than the first is awake at the start of a parallel phase;
    /// 0 or more, 0 meaning that all are awake already.
    /// </summary>
    public double WakeSeconds { get; init => field = Require.NotNegative(value, nameof(WakeSeconds)); }

    /// <summary>
    /// Seconds a thief's cold cache costs for every unit of a stolen range up to <see cref="RefillUnits"/>; 0 or more. They are
    /// part of the steal: the thief pays them before it starts the range.
    /// </summary>
    public double RefillSecondsPerUnit { get; init => field = Require.NotNegative(value, nameof(RefillSecondsPerUnit)); }

    /// <summary>Units that fill a cache: a stolen range pays for no more than these; 0 or more.</summary>
    public long RefillUnits { get; init => field = Require.AtLeast(value, 0, nameof(RefillUnits)); }
}
