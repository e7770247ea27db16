using System.Collections.Immutable;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Web.Plans;

/// <summary>What simulating one order came to.</summary>
/// <param name="Order">The job and the pool looked at.</param>
/// <param name="Detail">All runs on that pool.</param>
/// <param name="Picture">A run of about the median time.</param>
/// <param name="Grain">Run time by split size; null where no phase is split.</param>
public sealed record SimulatedLook(SimulationOrder Order, SimulatedPool Detail, RunPicture Picture, GrainCurve? Grain);

/// <summary>
/// Keeps what was simulated last, for all pages and callers of the API: the same job and seed give the same runs, so that a
/// plan opened again, or by somebody else, need not wait for them.
/// </summary>
public sealed class SimulationMemory
{
    /// <summary>So many jobs are kept, and for each so many looks; the longest unused is forgotten.</summary>
    public const int Jobs = 32, LooksOfAJob = 4;

    private readonly Lock _lock = new();
    private readonly LinkedList<Known> _known = [];

    /// <summary>The runs over core counts that a forecast of a job rests on; null where they are not known.</summary>
    /// <param name="job">The job's phases.</param>
    /// <param name="seed">The seed of the runs.</param>
    public IReadOnlyList<SimulatedPool>? CurveOf(JobStructure job, int seed)
    {
        lock (_lock)
        {
            return Find(job, seed)?.Curve;
        }
    }

    /// <summary>What an order came to; null where it is not known.</summary>
    /// <param name="order">The job and the pool.</param>
    /// <param name="seed">The seed of the runs.</param>
    public SimulatedLook? LookOf(SimulationOrder order, int seed)
    {
        lock (_lock)
        {
            return Find(order.Structure, seed)?.Looks.Find(look => look.Order == order);
        }
    }

    /// <summary>Keeps the runs over core counts of a job.</summary>
    public void Keep(JobStructure job, int seed, IReadOnlyList<SimulatedPool> curve)
    {
        lock (_lock)
        {
            if (Find(job, seed) is not null)
                return;
            _known.AddFirst(new Known([.. job.Phases], seed, curve, []));
            if (_known.Count > Jobs)
                _known.RemoveLast();
        }
    }

    /// <summary>Keeps a look at a job whose runs over core counts are kept.</summary>
    public void Keep(SimulatedLook look, int seed)
    {
        lock (_lock)
        {
            if (Find(look.Order.Structure, seed) is not { } known || known.Looks.Exists(kept => kept.Order == look.Order))
                return;
            known.Looks.Add(look);
            if (known.Looks.Count > LooksOfAJob)
                known.Looks.RemoveAt(0);
        }
    }

    private Known? Find(JobStructure job, int seed)
    {
        for (LinkedListNode<Known>? node = _known.First; node is not null; node = node.Next)
        {
            if (node.Value.Seed != seed || !node.Value.Phases.SequenceEqual(job.Phases))
                continue;
            _known.Remove(node);
            _known.AddFirst(node);
            return node.Value;
        }

        return null;
    }

    private sealed record Known(ImmutableArray<Phase> Phases, int Seed, IReadOnlyList<SimulatedPool> Curve, List<SimulatedLook> Looks);
}
