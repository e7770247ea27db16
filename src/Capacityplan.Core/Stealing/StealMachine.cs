using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Stealing;

/// <summary>
/// One run of a parallel phase on a pool, told from steal to steal: a worker is one range, the time it started on it, and the
/// joins it owes. Where it stands at a given time is found by walking down the right spine of its range.
/// </summary>
/// <remarks>
/// Nobody but the worker itself touches its range between steals, so its next two or three moments are known beforehand:
/// when its first fork is done (from then on something can be stolen), when it enters its last leaf (from then on nothing
/// can) and when it is finished. A steal splits the range: the victim keeps the left half, the thief gets the right one, and
/// both owe one shared join, which whoever finishes last pays, together with the joins the victim owed above it. A walk
/// descends for good, because a half that is done is never asked for again; so walking costs no more than the tree is deep.
/// All times are in seconds of a full-speed worker (<see cref="PhaseCosts"/>).
/// </remarks>
internal sealed class StealMachine<TSums>
    where TSums : struct, IRangeSums
{
    private readonly PhaseCosts _costs;
    private readonly TSums _sums;
    private readonly Worker[] _workers;
    private readonly EarliestKeys _keys;
    // Asked after at steals and idle workers only, so that a run nobody writes down pays nothing to speak of.
    private readonly RunRecorder? _record;
    // Workers that may have something to steal, and workers that want to; places in them are kept by the workers.
    private readonly int[] _candidates;
    private readonly int[] _thieves;
    private Join[] _joins = new Join[64];
    private int _joinsUsed;
    private int _freeJoin = -1;

    /// <summary>Starts the run: worker 0 on the whole range, the others thieves, or asleep until they are woken.</summary>
    /// <param name="costs">What the phase costs on the pool.</param>
    /// <param name="sums">How long its units take in this run.</param>
    /// <param name="random">Draws the delays until workers are awake; asked for nothing where there is no delay.</param>
    /// <param name="record">Told what the workers do; null where nobody wants to know.</param>
    public StealMachine(PhaseCosts costs, TSums sums, RandomSource random, RunRecorder? record = null)
    {
        _record = record;
        _costs = costs;
        _sums = sums;
        int workers = costs.Workers;
        _workers = new Worker[workers];
        _keys = new EarliestKeys(workers);
        _candidates = new int[workers];
        _thieves = new int[workers];
        TotalSeconds = sums.Total();
        record?.Starts(TotalSeconds);
        for (int i = workers - 1; i >= 1; i--)
        {
            if (costs.WakeSeconds > 0)
            {
                _workers[i].State = WorkerState.Asleep;
                _keys.Set(i, costs.WakeSeconds * random.NextExponential());
                Asleep++;
            }
            else
            {
                BecomeThief(i);
            }
        }

        ref Worker first = ref _workers[0];
        first.Join = -1;
        first.SetRange(costs, sums, 0, 0, TotalSeconds);
        Start(0, ref first, 0);
    }

    /// <summary>Seconds of all units.</summary>
    public double TotalSeconds { get; }

    public int Thieves { get; private set; }

    public int Candidates { get; private set; }

    public int Asleep { get; private set; }

    public bool Done { get; private set; }

    public long Steals { get; private set; }

    public long StolenUnits { get; private set; }

    /// <summary>Seconds thieves were busy with steals that succeeded, refills included.</summary>
    public double StealingSeconds { get; private set; }

    /// <summary>When the next thing happens that no try decides; infinite after the end.</summary>
    public double NextEvent => _keys.Earliest;

    public int Thief(int place) => _thieves[place];

    public int Candidate(int place) => _candidates[place];

    /// <summary>Lets the next thing happen that no try decides.</summary>
    /// <param name="now">Its time, <see cref="NextEvent"/>, or later if the clock has passed it by a rounding step.</param>
    public void Step(double now)
    {
        int index = _keys.EarliestIndex();
        ref Worker worker = ref _workers[index];
        switch (worker.State)
        {
            case WorkerState.Forking:
                worker.State = WorkerState.Candidate;
                worker.Place = Candidates;
                _candidates[Candidates++] = index;
                _keys.Set(index, Math.Max(now, worker.LastLeafEntered(_costs)));
                break;
            case WorkerState.Candidate:
                LeaveCandidates(ref worker);
                worker.State = WorkerState.Finishing;
                _keys.Set(index, Math.Max(now, worker.Finished(_costs)));
                break;
            case WorkerState.Finishing:
                Arrive(index, ref worker, now);
                break;
            case WorkerState.Asleep:
                Asleep--;
                BecomeThief(index);
                _record?.Woke(index, now);
                break;
            default:
                throw new InvalidOperationException($"A worker that is {worker.State} has no next moment.");
        }
    }

    /// <summary>A thief tries a victim: it takes the oldest item on the victim's deque, if there is one.</summary>
    /// <param name="now">When, seconds; no later than <see cref="NextEvent"/> and not before anything that has happened.</param>
    /// <param name="thief">A worker that is a thief.</param>
    /// <param name="victim">Another worker.</param>
    /// <returns>The units stolen; 0 where the try failed.</returns>
    public long TrySteal(double now, int thief, int victim)
    {
        ref Worker loser = ref _workers[victim];
        if (loser.State != WorkerState.Candidate)
            return 0;
        RangeCost[] ranges = _costs.Ranges;
        while (true)
        {
            ref RangeCost range = ref ranges[loser.Range];
            if (range.Shape.IsLeaf)
                return 0;
            double forked = loser.Start + _costs.ForkSeconds;
            if (now < forked)
            {
                // Forking again after a pop: until that is done no try can succeed, however often they come.
                LeaveCandidates(ref loser);
                loser.State = WorkerState.Forking;
                _keys.Set(victim, forked);
                return 0;
            }

            double leftSeconds = _sums.LeftHalf(loser.Low, range.Shape, loser.BeforeLastLeaf);
            double leftDone = forked + leftSeconds + ranges[range.Shape.Left].OverheadSeconds;
            if (now < leftDone)
                return Split(now, thief, ref loser, victim, ref range, forked, leftSeconds);
            loser.DescendRight(range, leftDone, leftSeconds, ranges[range.Shape.Right].Shape.IsLeaf);
        }
    }

    private long Split(double now, int thief, ref Worker loser, int victim, ref RangeCost range, double forked, double leftSeconds)
    {
        RangeShape shape = range.Shape;
        long units = shape.Units - shape.LeftUnits;
        int join = NewJoin(range.JoinSeconds + loser.OwedJoins, loser.Join);
        double steal = _costs.StealSeconds + _costs.RefillSecondsPerUnit * Math.Min(units, _costs.RefillUnits);

        ref Worker winner = ref _workers[thief];
        LeaveThieves(ref winner);
        winner.Range = shape.Right;
        winner.Low = loser.Low + shape.LeftUnits;
        winner.Start = now + steal;
        winner.BeforeLastLeaf = _costs.Ranges[shape.Right].Shape.IsLeaf ? 0 : loser.BeforeLastLeaf - leftSeconds;
        winner.LastLeaf = loser.LastLeaf;
        winner.OwedJoins = 0;
        winner.Join = join;
        _record?.Stole(now, steal, thief, victim, winner.Low, units, winner.BeforeLastLeaf + winner.LastLeaf);

        loser.SetRange(_costs, _sums, shape.Left, loser.Low, leftSeconds);
        loser.Start = forked;
        loser.OwedJoins = 0;
        loser.Join = join;

        Start(thief, ref winner, now);
        double entered = loser.LastLeafEntered(_costs);
        if (entered > now)
        {
            _keys.Set(victim, entered);
        }
        else
        {
            LeaveCandidates(ref loser);
            loser.State = WorkerState.Finishing;
            _keys.Set(victim, Math.Max(now, loser.Finished(_costs)));
        }

        Steals++;
        StolenUnits += units;
        StealingSeconds += steal;
        return units;
    }

    // A leaf has no fork to wait for: it goes straight to its end.
    private void Start(int index, ref Worker worker, double now)
    {
        bool leaf = _costs.Ranges[worker.Range].Shape.IsLeaf;
        worker.State = leaf ? WorkerState.Finishing : WorkerState.Forking;
        _keys.Set(index, Math.Max(now, leaf ? worker.Finished(_costs) : worker.Start + _costs.ForkSeconds));
    }

    // The worker is done with everything below its join. Joins whose other side is done already are its own, one after the
    // other; at the first that is not it has to come back when it gets there, unless it is there already.
    private void Arrive(int index, ref Worker worker, double now)
    {
        double end = now;
        int join = worker.Join;
        while (join >= 0 && _joins[join].OneSideDone)
        {
            ref Join shared = ref _joins[join];
            end += shared.Seconds;
            int above = shared.Above;
            shared.Above = _freeJoin;
            _freeJoin = join;
            join = above;
        }

        worker.Join = join;
        if (end > now)
        {
            _keys.Set(index, end);
        }
        else if (join < 0)
        {
            Done = true;
            _keys.Set(index, double.PositiveInfinity);
            _record?.RanOut(index, now);
        }
        else
        {
            _joins[join].OneSideDone = true;
            BecomeThief(index);
            _record?.RanOut(index, now);
        }
    }

    private void BecomeThief(int index)
    {
        ref Worker worker = ref _workers[index];
        worker.State = WorkerState.Thief;
        worker.Place = Thieves;
        _thieves[Thieves++] = index;
        _keys.Set(index, double.PositiveInfinity);
    }

    private void LeaveThieves(ref Worker worker)
    {
        int last = _thieves[--Thieves];
        _thieves[worker.Place] = last;
        _workers[last].Place = worker.Place;
    }

    private void LeaveCandidates(ref Worker worker)
    {
        int last = _candidates[--Candidates];
        _candidates[worker.Place] = last;
        _workers[last].Place = worker.Place;
    }

    private int NewJoin(double seconds, int above)
    {
        int join = _freeJoin;
        if (join >= 0)
        {
            _freeJoin = _joins[join].Above;
        }
        else
        {
            if (_joinsUsed == _joins.Length)
                Array.Resize(ref _joins, 2 * _joins.Length);
            join = _joinsUsed++;
        }

        _joins[join] = new Join { Seconds = seconds, Above = above };
        return join;
    }

    private enum WorkerState
    {
        Thief,
        Asleep,
        Forking,
        Candidate,
        Finishing,
    }

    private struct Join
    {
        public double Seconds;
        public int Above;
        public bool OneSideDone;
    }

    private struct Worker
    {
        /// <summary>When the range's first fork begins, or its only leaf.</summary>
        public double Start;

        /// <summary>Seconds of the range's units before its last leaf.</summary>
        public double BeforeLastLeaf;

        /// <summary>Seconds of the range's last leaf.</summary>
        public double LastLeaf;

        /// <summary>Joins above the range, up to the shared one, seconds.</summary>
        public double OwedJoins;

        public long Low;
        public int Range;
        public int Join;
        public int Place;
        public WorkerState State;

        public void SetRange(PhaseCosts costs, TSums sums, int range, long low, double seconds)
        {
            ref RangeCost cost = ref costs.Ranges[range];
            Range = range;
            Low = low;
            LastLeaf = cost.Shape.IsLeaf ? seconds : sums.LastLeaf(low, cost.Shape, seconds);
            BeforeLastLeaf = seconds - LastLeaf;
        }

        public void DescendRight(in RangeCost range, double leftDone, double leftSeconds, bool rightIsLeaf)
        {
            Start = leftDone;
            Low += range.Shape.LeftUnits;
            BeforeLastLeaf = rightIsLeaf ? 0 : BeforeLastLeaf - leftSeconds;
            OwedJoins += range.JoinSeconds;
            Range = range.Shape.Right;
        }

        public readonly double LastLeafEntered(PhaseCosts costs) =>
            Start + BeforeLastLeaf + costs.Ranges[Range].BeforeLastLeafSeconds;

        public readonly double Finished(PhaseCosts costs) =>
            LastLeafEntered(costs) + LastLeaf + costs.Ranges[Range].SpineJoinSeconds + OwedJoins;
    }
}
