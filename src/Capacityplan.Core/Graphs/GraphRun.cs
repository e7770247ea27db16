using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Graphs;

/// <summary>
/// Runs of a graph on a pool, one at a time. All tries on workers that have a task to give succeed, and come at rate
/// thieves x such workers/(a (p - 1)), each pair equally likely; all others fail without a trace and are counted by their mean.
/// Keeps its room between runs; not safe to share between threads.
/// </summary>
internal sealed class GraphRun(TaskGraph graph, SchedulingCosts costs)
{
    private const int EventsBetweenLooks = 1 << 14;
    private const int Asleep = -1;
    private const int Thief = -2;

    private readonly int[] _waiting = new int[graph.Count];
    // By worker: the task it runs or is stealing; its tasks; its places among thieves and among those that have tasks.
    private int[] _task = [];
    private TaskDeque[] _deques = [];
    private int[] _thiefPlace = [];
    private int[] _givingPlace = [];
    private int[] _thieves = [];
    private int[] _giving = [];
    private EarliestKeys _keys = new(1);
    private int _thiefCount;
    private int _givingCount;
    private double _slowness;
    private ScheduledTask[]? _record;

    /// <summary>Simulates one run.</summary>
    /// <param name="pool">The pool.</param>
    /// <param name="random">Draws the tries and wake-ups.</param>
    /// <param name="spanSeconds">T_inf to write down, forks and joins counted, seconds.</param>
    /// <param name="record">Filled with where and when each task ran; null where nobody wants to know.</param>
    /// <param name="cancellation">Ends it early.</param>
    public SimulatedRun Simulate(
        WorkerPool pool, RandomSource random, double spanSeconds, ScheduledTask[]? record, CancellationToken cancellation)
    {
        Begin(pool, record);
        int others = pool.Workers - 1;
        double pairRate = others > 0 ? 1 / (costs.StealAttemptSeconds * others) : 0;
        double stealSeconds = costs.StealSeconds + costs.RefillSecondsPerUnit * Math.Min(1, costs.RefillUnits);
        double now = 0, idle = 0, hopelessTries = 0;
        int asleep = 0, left = graph.Count, looks = 0;
        long steals = 0;
        for (int worker = 0; worker < pool.Workers; worker++)
        {
            if (worker > 0 && costs.WakeSeconds > 0)
            {
                _task[worker] = Asleep;
                _keys.Set(worker, costs.WakeSeconds * random.NextExponential());
                asleep++;
            }
            else
            {
                Continue(worker, 0);
            }
        }

        double untilTry = random.NextExponential();
        while (left > 0)
        {
            if (++looks == EventsBetweenLooks)
            {
                cancellation.ThrowIfCancellationRequested();
                looks = 0;
            }

            double next = Math.Max(now, _keys.Earliest);
            bool tries = false;
            if (_thiefCount > 0 && _givingCount > 0)
            {
                double rate = (double)_thiefCount * _givingCount * pairRate;
                double due = now + untilTry / rate;
                tries = due < next;
                if (tries)
                    next = due;
                else
                    untilTry = Math.Max(0, untilTry - rate * (next - now));
            }

            double passed = next - now;
            idle += passed * (_thiefCount + asleep);
            hopelessTries += passed * _thiefCount * (others - _givingCount);
            now = next;
            if (tries)
            {
                untilTry = random.NextExponential();
                int thief = _thieves[random.NextIndex(_thiefCount)];
                int victim = _giving[random.NextIndex(_givingCount)];
                int stolen = _deques[victim].TakeOldest();
                if (_deques[victim].Count == 0)
                    LeaveGiving(victim);
                Leave(_thieves, _thiefPlace, ref _thiefCount, thief);
                Start(thief, stolen, now + stealSeconds);
                steals++;
                continue;
            }

            int index = _keys.EarliestIndex();
            if (_task[index] == Asleep)
            {
                asleep--;
            }
            else
            {
                Finish(index, _task[index]);
                left--;
            }

            Continue(index, now);
        }

        double overhead = graph.Count * (costs.ForkSeconds + costs.JoinSeconds);
        return new SimulatedRun
        {
            MakespanSeconds = now,
            WorkSeconds = graph.WorkSeconds + overhead,
            SpanSeconds = spanSeconds,
            SerialSeconds = 0,
            UsefulSeconds = graph.WorkSeconds * _slowness,
            OverheadSeconds = overhead * _slowness,
            StealingSeconds = steals * stealSeconds,
            IdleSeconds = idle,
            Steals = steals,
            FailedTries = hopelessTries * pairRate,
            StolenUnits = steals,
            Pops = graph.Count - steals,
            PoppedUnits = graph.Count - steals,
        };
    }

    private void Begin(WorkerPool pool, ScheduledTask[]? record)
    {
        int workers = pool.Workers;
        if (_task.Length != workers)
        {
            _task = new int[workers];
            _deques = new TaskDeque[workers];
            _thiefPlace = new int[workers];
            _givingPlace = new int[workers];
            _thieves = new int[workers];
            _giving = new int[workers];
            _keys = new EarliestKeys(workers);
        }

        _keys.Clear();
        _record = record;
        _slowness = 1 / pool.WorkerSpeed;
        _thiefCount = 0;
        _givingCount = 0;
        for (int worker = 0; worker < workers; worker++)
            _deques[worker].Clear();
        int dealt = 0;
        for (int task = 0; task < graph.Count; task++)
        {
            _waiting[task] = graph.Parents(task).Length;
            if (_waiting[task] > 0)
                continue;
            Push(dealt, task);
            dealt = dealt + 1 == workers ? 0 : dealt + 1;
        }
    }

    private void Push(int worker, int task)
    {
        _deques[worker].Push(task);
        if (_deques[worker].Count == 1)
            Enter(_giving, _givingPlace, ref _givingCount, worker);
    }

    private void Finish(int worker, int task)
    {
        foreach (int child in graph.Children(task))
        {
            if (--_waiting[child] == 0)
                Push(worker, child);
        }
    }

    // Its newest task, or else a thief's life.
    private void Continue(int worker, double now)
    {
        if (_deques[worker].Count == 0)
        {
            _task[worker] = Thief;
            _keys.Set(worker, double.PositiveInfinity);
            Enter(_thieves, _thiefPlace, ref _thiefCount, worker);
            return;
        }

        int task = _deques[worker].PopNewest();
        if (_deques[worker].Count == 0)
            LeaveGiving(worker);
        Start(worker, task, now);
    }

    private void Start(int worker, int task, double from)
    {
        double end = from + (costs.ForkSeconds + costs.JoinSeconds + graph.Seconds[task]) * _slowness;
        _task[worker] = task;
        _keys.Set(worker, end);
        if (_record is not null)
            _record[task] = new ScheduledTask(task, worker, from, end);
    }

    private void LeaveGiving(int worker) => Leave(_giving, _givingPlace, ref _givingCount, worker);

    private static void Enter(int[] members, int[] places, ref int count, int worker)
    {
        places[worker] = count;
        members[count++] = worker;
    }

    private static void Leave(int[] members, int[] places, ref int count, int worker)
    {
        int last = members[--count];
        members[places[worker]] = last;
        places[last] = places[worker];
    }
}
