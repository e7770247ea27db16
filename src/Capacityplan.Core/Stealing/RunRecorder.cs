namespace Capacityplan.Core.Stealing;

/// <summary>
/// Writes down what every worker of one run does. It is told of steals, of workers that run out of work and of those that wake
/// up, and of nothing in between: a worker is busy from the steal it started with until it is a thief again.
/// </summary>
internal sealed class RunRecorder
{
    private readonly bool[] _shown;
    private readonly Open[] _open;
    private readonly int _mostSteals;
    // The smallest of the steals kept so far first; of equally small ones the latest.
    private readonly PriorityQueue<RunSteal, (long Units, long Latest)> _steals = new();
    private long _phaseSteals;
    private int _phase;
    private int _lastWorker;
    private double _phaseStart;
    private double _speed;

    /// <summary>Starts a record.</summary>
    /// <param name="workers">p, workers of the pool.</param>
    /// <param name="shown">Workers whose segments are kept; the times of all are added up.</param>
    /// <param name="mostSteals">How many steals are kept: the largest.</param>
    public RunRecorder(int workers, IEnumerable<int> shown, int mostSteals)
    {
        _shown = new bool[workers];
        _open = new Open[workers];
        _mostSteals = mostSteals;
        Times = new WorkerTime[workers];
        foreach (int worker in shown)
            _shown[worker] = true;
    }

    public WorkerTime[] Times { get; }

    /// <summary>Segments of the shown workers, in the order they ended.</summary>
    public List<RunSegment> Segments { get; } = [];

    public List<RunPhase> Phases { get; } = [];

    public long Steals { get; private set; }

    public IEnumerable<RunSteal> LargestSteals =>
        _steals.UnorderedItems.Select(item => item.Element).OrderBy(steal => steal.Seconds).ThenBy(steal => steal.Thief);

    public void Serial(string name, double start, double end)
    {
        _phase = Phases.Count;
        for (int worker = 0; worker < _open.Length; worker++)
        {
            double seconds = end - start;
            Add(worker, worker == 0 ? RunActivity.Serial : RunActivity.Waiting, start, end,
                worker == 0 ? new WorkerTime(Serial: seconds) : new WorkerTime(Waiting: seconds));
        }

        Phases.Add(new RunPhase(name, false, start, end, 0, 0));
    }

    /// <summary>A parallel phase begins, worker 0 on all of its units.</summary>
    public void Begin(double start, PhaseCosts costs)
    {
        _phase = Phases.Count;
        _phaseStart = start;
        _speed = costs.Speed;
        _phaseSteals = 0;
        RunActivity others = costs.WakeSeconds > 0 ? RunActivity.Waking : RunActivity.Idle;
        for (int worker = 1; worker < _open.Length; worker++)
            _open[worker] = new Open { Since = start, Activity = others };
        _open[0] = new Open { Since = start, Activity = RunActivity.Running, Units = costs.Tree.Units };
    }

    /// <summary>What all units of the phase take, known once they are drawn.</summary>
    public void Starts(double totalSeconds) => _open[0].UnitSeconds = totalSeconds;

    public void Woke(int worker, double now) => Close(worker, Clock(now), RunActivity.Idle);

    public void Stole(double now, double stealSeconds, int thief, int victim, long low, long units, double unitSeconds)
    {
        double start = Clock(now);
        double end = Clock(now + stealSeconds);
        Close(thief, start, RunActivity.Running);
        Add(thief, RunActivity.Stealing, start, end, new WorkerTime(Stealing: end - start));
        _open[thief] = new Open { Since = end, Activity = RunActivity.Running, Low = low, Units = units, UnitSeconds = unitSeconds };
        ref Open loser = ref _open[victim];
        loser.Units -= units;
        loser.UnitSeconds -= unitSeconds;
        _phaseSteals++;
        Steals++;
        var steal = new RunSteal(start, _phase, thief, victim, units);
        if (_steals.Count < _mostSteals)
            _steals.Enqueue(steal, (units, -Steals));
        else if (_mostSteals > 0)
            _steals.EnqueueDequeue(steal, (units, -Steals));
    }

    /// <summary>A worker has nothing left to do and becomes a thief, or has ended the phase.</summary>
    public void RanOut(int worker, double now)
    {
        Close(worker, Clock(now), RunActivity.Idle);
        _lastWorker = worker;
    }

    public void End(string name, double end)
    {
        for (int worker = 0; worker < _open.Length; worker++)
            Close(worker, end, RunActivity.Idle);
        Phases.Add(new RunPhase(name, true, _phaseStart, end, _lastWorker, _phaseSteals));
    }

    private double Clock(double now) => _phaseStart + now / _speed;

    private void Close(int worker, double end, RunActivity next)
    {
        ref Open open = ref _open[worker];
        double seconds = end - open.Since;
        if (open.Activity == RunActivity.Running)
        {
            // The sum of what is left is a difference of sums and may be a rounding step off.
            double work = Math.Clamp(open.UnitSeconds / _speed, 0, seconds);
            Add(worker, open.Activity, open.Since, end, new WorkerTime(Work: work, Overhead: seconds - work), open.Low, open.Units);
        }
        else
        {
            Add(worker, open.Activity, open.Since, end,
                open.Activity == RunActivity.Idle ? new WorkerTime(Idle: seconds) : new WorkerTime(Waking: seconds));
        }

        open = new Open { Since = end, Activity = next };
    }

    private void Add(int worker, RunActivity activity, double start, double end, WorkerTime time, long low = -1, long units = 0)
    {
        Times[worker] += time;
        if (!_shown[worker] || end == start)
            return;
        Segments.Add(new RunSegment
        {
            Worker = worker,
            Phase = _phase,
            Activity = activity,
            StartSeconds = start,
            EndSeconds = end,
            Time = time,
            FirstUnit = low,
            Units = units,
            Merged = 1,
        });
    }

    // What a worker is at and has not ended yet.
    private struct Open
    {
        public double Since;
        public RunActivity Activity;
        public long Low;
        public long Units;
        public double UnitSeconds;
    }
}
