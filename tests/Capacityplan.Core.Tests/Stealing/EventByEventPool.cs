using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Stealing;

/// <summary>A try: when, who, on whom.</summary>
internal readonly record struct Try(double Time, int Thief, int Victim);

/// <summary>What the plain simulation counted.</summary>
internal sealed record EventByEventOutcome(
    double Makespan, double Useful, double Overhead, double Stealing, double Idle,
    long Steals, long Failed, long StolenUnits, long Pops, long PoppedUnits, IReadOnlyList<long> Taken);

/// <summary>
/// The model of the pool written plainly: every fork, leaf, join and try is an event in a priority queue, every worker has a
/// deque. It is what the fast simulation is held against, and shares no code and no random numbers with it.
/// </summary>
internal sealed class EventByEventPool
{
    private readonly double[] _units;
    private readonly long _grain;
    private readonly SchedulingCosts _costs;
    private readonly double _slowness;
    private readonly Random? _random;
    private readonly List<Node>[] _deques;
    // When the worker last had nothing to do; NaN while it has.
    private readonly double[] _idleSince;
    private readonly bool[] _isThief;
    private readonly PriorityQueue<(What What, int Worker, Node? Node, int Victim), (double Time, long Order)> _events = new();
    private readonly List<long> _taken = [];
    private long _order;
    private double _now, _useful, _overhead, _stealing, _idle;
    private long _steals, _failed, _stolenUnits, _pops, _poppedUnits;
    private bool _done;

    private EventByEventPool(double[] units, long grain, SchedulingCosts costs, WorkerPool pool, Random? random)
    {
        _units = units;
        _grain = grain;
        _costs = costs;
        _slowness = 1 / pool.WorkerSpeed;
        _random = random;
        _deques = [.. Enumerable.Range(0, pool.Workers).Select(_ => new List<Node>())];
        _idleSince = new double[pool.Workers];
        _isThief = new bool[pool.Workers];
    }

    private enum What
    {
        LeafDone,
        Forked,
        Joined,
        Stolen,
        Tries,
        Wakes,
    }

    /// <summary>Draws the tries.</summary>
    public static EventByEventOutcome Run(double[] units, long grain, SchedulingCosts costs, WorkerPool pool, Random random) =>
        new EventByEventPool(units, grain, costs, pool, random).Run([]);

    /// <summary>Repeats given tries.</summary>
    public static EventByEventOutcome Replay(double[] units, long grain, SchedulingCosts costs, WorkerPool pool, IEnumerable<Try> tries) =>
        new EventByEventPool(units, grain, costs, pool, null).Run(tries);

    private EventByEventOutcome Run(IEnumerable<Try> tries)
    {
        foreach (Try one in tries)
            _events.Enqueue((What.Tries, one.Thief, null, one.Victim), (one.Time, _order++));
        _idleSince[0] = double.NaN;
        StartNode(0, new Node(0, _units.Length, null));
        for (int worker = 1; worker < _deques.Length; worker++)
        {
            if (_costs.WakeSeconds > 0)
                Later(Exponential(_costs.WakeSeconds), What.Wakes, worker, null);
            else
                BecomeThief(worker);
        }

        while (!_done)
        {
            ((What what, int worker, Node? node, int victim), (double time, _)) = Next();
            _now = time;
            switch (what)
            {
                case What.LeafDone or What.Joined:
                    FinishNode(worker, node!);
                    break;
                case What.Forked:
                    _deques[worker].Add(node!.Right());
                    StartNode(worker, node.Left());
                    break;
                case What.Stolen:
                    StartNode(worker, node!);
                    break;
                case What.Wakes:
                    BecomeThief(worker);
                    break;
                default:
                    Steal(worker, victim);
                    break;
            }
        }

        foreach (double since in _idleSince)
            _idle += double.IsNaN(since) ? 0 : _now - since;
        return new EventByEventOutcome(
            _now, _useful, _overhead, _stealing, _idle, _steals, _failed, _stolenUnits, _pops, _poppedUnits, _taken);
    }

    private ((What What, int Worker, Node? Node, int Victim) Event, (double Time, long Order) Key) Next() =>
        _events.TryDequeue(out (What What, int Worker, Node? Node, int Victim) element, out (double Time, long Order) key)
            ? (element, key)
            : throw new InvalidOperationException("The run is stuck: nothing is left to happen.");

    private void StartNode(int worker, Node node)
    {
        if (node.Units <= _grain)
        {
            double seconds = 0;
            for (long i = node.Low; i < node.High; i++)
                seconds += _units[i] * _slowness;
            _useful += seconds;
            Later(seconds, What.LeafDone, worker, node);
        }
        else
        {
            double seconds = _costs.ForkSeconds * _slowness;
            _overhead += seconds;
            Later(seconds, What.Forked, worker, node);
        }
    }

    private void FinishNode(int worker, Node node)
    {
        Node? parent = node.Parent;
        if (parent is null)
        {
            _done = true;
            _idleSince[worker] = double.NaN;
            return;
        }

        if (++parent.HalvesDone == 2)
        {
            double seconds = (_costs.JoinSeconds + _costs.CombineSecondsPerUnit * parent.Units) * _slowness;
            _overhead += seconds;
            Later(seconds, What.Joined, worker, parent);
            return;
        }

        List<Node> deque = _deques[worker];
        if (deque.Count > 0)
        {
            Node newest = deque[^1];
            deque.RemoveAt(deque.Count - 1);
            if (newest.Parent != parent)
                throw new InvalidOperationException("The newest item of a deque has to be the sibling of what was finished.");
            _pops++;
            _poppedUnits += newest.Units;
            StartNode(worker, newest);
        }
        else
        {
            _idleSince[worker] = _now;
            BecomeThief(worker);
        }
    }

    private void BecomeThief(int worker)
    {
        _isThief[worker] = true;
        if (_random is not null && _deques.Length > 1)
            Later(Exponential(_costs.StealAttemptSeconds), What.Tries, worker, null);
    }

    private void Steal(int thief, int victim)
    {
        if (!_isThief[thief])
            throw new InvalidOperationException("Only a thief tries.");
        if (_random is not null)
        {
            victim = _random.Next(_deques.Length - 1);
            victim += victim >= thief ? 1 : 0;
        }

        List<Node> deque = _deques[victim];
        if (deque.Count == 0)
        {
            _failed++;
            _taken.Add(0);
            if (_random is not null)
                Later(Exponential(_costs.StealAttemptSeconds), What.Tries, thief, null);
            return;
        }

        Node oldest = deque[0];
        deque.RemoveAt(0);
        double seconds = _costs.StealSeconds + _costs.RefillSecondsPerUnit * Math.Min(oldest.Units, _costs.RefillUnits);
        _steals++;
        _stolenUnits += oldest.Units;
        _taken.Add(oldest.Units);
        _stealing += seconds;
        _idle += _now - _idleSince[thief];
        _idleSince[thief] = double.NaN;
        _isThief[thief] = false;
        Later(seconds, What.Stolen, thief, oldest);
    }

    private void Later(double seconds, What what, int worker, Node? node) =>
        _events.Enqueue((what, worker, node, -1), (_now + seconds, _order++));

    private double Exponential(double mean) => -mean * Math.Log(1 - _random!.NextDouble());

    private sealed class Node(long low, long high, Node? parent)
    {
        public long Low => low;

        public long High => high;

        public long Units => high - low;

        public Node? Parent => parent;

        public int HalvesDone { get; set; }

        public Node Left() => new(low, low + Units / 2, this);

        public Node Right() => new(low + Units / 2, high, this);
    }
}
