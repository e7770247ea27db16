using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Stealing;

/// <summary>
/// What a parallel phase costs on one pool, in seconds of a full-speed worker. Where workers share cores, units, forks, joins
/// and combines take 1/speed as long on the clock, while tries, steals, refills and wake-ups wait on memory and the
/// operating system and do not slow down: told in worker's time they shrink.
/// </summary>
internal sealed class PhaseCosts
{
    public PhaseCosts(ParallelPhase phase, WorkerPool pool)
        : this(phase.Tree, phase.Costs, pool)
    {
    }

    public PhaseCosts(RangeTree tree, SchedulingCosts costs, WorkerPool pool)
    {
        Tree = tree;
        Workers = pool.Workers;
        Speed = pool.WorkerSpeed;
        ForkSeconds = costs.ForkSeconds;
        AttemptSeconds = costs.StealAttemptSeconds * Speed;
        StealSeconds = costs.StealSeconds * Speed;
        WakeSeconds = costs.WakeSeconds * Speed;
        RefillSecondsPerUnit = costs.RefillSecondsPerUnit * Speed;
        RefillUnits = costs.RefillUnits;
        OverheadSeconds = tree.OverheadSeconds(costs);
        ReadOnlySpan<RangeShape> shapes = tree.Shapes;
        Ranges = new RangeCost[shapes.Length];
        for (int i = 0; i < shapes.Length; i++)
        {
            RangeShape shape = shapes[i];
            double overhead = shape.Forks * (costs.ForkSeconds + costs.JoinSeconds) + shape.JoinedUnits * costs.CombineSecondsPerUnit;
            double spineJoins = shape.SpineForks * costs.JoinSeconds + shape.SpineUnits * costs.CombineSecondsPerUnit;
            Ranges[i] = new RangeCost
            {
                Shape = shape,
                OverheadSeconds = overhead,
                SpineJoinSeconds = spineJoins,
                BeforeLastLeafSeconds = shape.IsLeaf ? 0 : overhead - spineJoins,
                JoinSeconds = costs.JoinSeconds + shape.Units * costs.CombineSecondsPerUnit,
            };
        }
    }

    public RangeTree Tree { get; }

    public int Workers { get; }

    public double Speed { get; }

    public double ForkSeconds { get; }

    public double AttemptSeconds { get; }

    public double StealSeconds { get; }

    public double WakeSeconds { get; }

    public double RefillSecondsPerUnit { get; }

    public long RefillUnits { get; }

    public double OverheadSeconds { get; }

    /// <summary>Every size a range can have; the whole range first.</summary>
    public RangeCost[] Ranges { get; }
}

/// <summary>What forks and joins of a range cost when one worker runs all of it.</summary>
internal struct RangeCost
{
    public RangeShape Shape;

    /// <summary>All forks, joins and combines in the range, seconds.</summary>
    public double OverheadSeconds;

    /// <summary>Those of them that come before its last leaf, seconds.</summary>
    public double BeforeLastLeafSeconds;

    /// <summary>The joins after its last leaf, seconds.</summary>
    public double SpineJoinSeconds;

    /// <summary>The join of its own two halves, seconds.</summary>
    public double JoinSeconds;
}
