using System.Collections.Immutable;
using Capacityplan.Core;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Reading;
using Capacityplan.Core.Stealing;
using Capacityplan.Storage;

namespace Capacityplan.Web.Plans;

/// <summary>A task graph on one number of cores.</summary>
/// <param name="Outlook">The best schedule found, and what is proved.</param>
/// <param name="Pool">Simulated runs on a pool of so many workers.</param>
public sealed record GraphOnCores(GraphOutlook Outlook, SimulatedPool Pool);

/// <summary>A schedule looked at in detail.</summary>
/// <param name="Cores">Its cores.</param>
/// <param name="Stretches">The best schedule found, by worker.</param>
/// <param name="Gains">By task of the critical path: by how much the longest-remaining-first schedule gets shorter, seconds; only those looked at.</param>
public sealed record GraphLook(int Cores, ScheduleStretches Stretches, ImmutableSortedDictionary<int, double> Gains);

/// <summary>
/// The task graph of a plan: reads the file a draft refers to, studies the graph, simulates it and schedules it, away from the
/// caller's thread. What has come in is shown at once; work whose input has changed is dropped.
/// </summary>
/// <param name="files">Where the file is kept.</param>
/// <param name="turns">Whose turn it is.</param>
/// <param name="clock">The clock.</param>
public sealed class GraphSession(JobFileStore files, SimulationTurns turns, TimeProvider clock) : IAsyncDisposable
{
    /// <summary>The largest file taken, bytes.</summary>
    public const long MostFileBytes = 256L * 1024 * 1024;

    /// <summary>Of so many tasks of the critical path it is worked out what shortening them gains on a number of cores.</summary>
    public const int MostGains = 12;

    private const int Seed = 1;

    /// <summary>Past so many tasks, schedules are not bettered and gains on cores not worked out: each look at such a graph takes its time.</summary>
    private const int LargeGraph = 200_000;

    private static readonly TimeSpan s_betweenReports = TimeSpan.FromMilliseconds(250);

    private readonly LatestWork _reading = new();
    private readonly LatestWork _work = new();
    private string _opened = "";
    private (GraphJob Job, int Cores)? _asked;
    private IReadOnlyList<SimulatedPool>? _pools;

    /// <summary>Raised, on any thread, whenever something shown has changed.</summary>
    public event Action? Changed
    {
        add
        {
            _reading.Changed += value;
            _work.Changed += value;
        }

        remove
        {
            _reading.Changed -= value;
            _work.Changed -= value;
        }
    }

    /// <summary>Raised, on any thread, once the draft's file has been read.</summary>
    public event Action<DraftGraph>? Read;

    /// <summary>Raised, on any thread, once the runs that a forecast of a job rests on are in.</summary>
    public event Action<GraphJob, IReadOnlyList<SimulatedPool>>? Refined;

    /// <summary>How much of the draft's file has been read, from 0 to 1; null where none is being read.</summary>
    public double? ReadShare { get; private set; }

    /// <summary>What the graph says of itself; null before that is known.</summary>
    public GraphStudy? Study { get; private set; }

    /// <summary>The graph by number of cores, ascending; those that have come in.</summary>
    public ImmutableArray<GraphOnCores> OnCores { get; private set; } = [];

    /// <summary>The schedule looked at; null before it is there.</summary>
    public GraphLook? Look { get; private set; }

    /// <summary>How far it has come.</summary>
    public SimulationStage Stage { get; private set; }

    /// <summary>What went wrong on our side; null where nothing did.</summary>
    public Exception? Fault { get; private set; }

    /// <summary>Reads the file a draft refers to, unless it has been read, or taken, already.</summary>
    /// <param name="draft">The draft.</param>
    public void Open(PlanDraft draft)
    {
        lock (_reading.Gate)
        {
            if (_reading.IsDisposed || draft.GraphFile == _opened)
                return;
            (string key, string name) = (draft.GraphFile, draft.GraphFileName);
            _reading.Drop();
            (_opened, ReadShare) = (key, null);
            if (key.Length == 0)
                return;
            ReadShare = 0;
            _reading.Begin(turn => ReadAsync(key, name, turn), fault => (ReadShare, Fault) = (null, fault));
        }
    }

    /// <summary>Takes a file that has just been read; the draft that refers to it comes after.</summary>
    /// <param name="graph">What was read.</param>
    public void Take(DraftGraph graph)
    {
        lock (_reading.Gate)
        {
            _reading.Drop();
            (_opened, ReadShare) = (graph.File, null);
        }

        Read?.Invoke(graph);
    }

    /// <summary>Takes what is to be studied; nothing happens where it is what was asked for last.</summary>
    /// <param name="job">The job; null for none.</param>
    /// <param name="cores">The cores its schedule is looked at on.</param>
    public void Show(GraphJob? job, int cores)
    {
        lock (_work.Gate)
        {
            (GraphJob, int)? asked = job is null ? null : (job, cores);
            if (_work.IsDisposed || asked == _asked)
                return;
            bool isSameJob = job is not null && _asked?.Job == job;
            _asked = asked;
            (Look, Fault) = (null, null);
            if (!isSameJob)
                (Study, OnCores, _pools) = (null, [], null);
            Begin();
        }

        _work.RaiseChanged();
    }

    /// <summary>Stops the work under way; what has come in stands.</summary>
    public void Stop()
    {
        lock (_work.Gate)
        {
            _work.Drop();
            Stage = SimulationStage.Stopped;
        }

        _work.RaiseChanged();
    }

    /// <summary>Goes on after a stop.</summary>
    public void Resume()
    {
        lock (_work.Gate)
        {
            if (_work.IsDisposed || Stage != SimulationStage.Stopped)
                return;
            Begin();
        }

        _work.RaiseChanged();
    }

    /// <summary>Completes when the work begun so far has ended.</summary>
    public Task WhenSettledAsync() => Task.WhenAll(_reading.WhenSettledAsync(), _work.WhenSettledAsync());

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        (Read, Refined) = (null, null);
        await _reading.DisposeAsync();
        await _work.DisposeAsync();
    }

    private async Task ReadAsync(string key, string name, LatestWork.Turn turn)
    {
        long length = await files.LengthAsync(key, turn.Cancellation) ?? 0;
        await using Stream? stream = await files.OpenAsync(key, turn.Cancellation);
        TaskGraphReading reading;
        if (stream is null)
        {
            reading = new TaskGraphReading
            {
                Graph = null,
                Format = TaskGraphFormat.Table,
                Problems = [new Problem(ProblemSeverity.Error, $"The file {name} is not kept here any more. Choose it again, or take it out.")],
            };
        }
        else
        {
            long last = clock.GetTimestamp();
            IProgress<TaskGraphProgress> progress = turn.Tell<TaskGraphProgress>(
                so => (last, ReadShare) = (clock.GetTimestamp(), Math.Min(1, so.Characters / Math.Max(1.0, length))),
                _ => clock.GetElapsedTime(last) >= s_betweenReports);
            using var text = new StreamReader(stream);
            reading = await TaskGraphReader.ReadAsync(text, progress, turn.Cancellation);
        }

        if (turn.Show(() => ReadShare = null))
            Read?.Invoke(new DraftGraph(key, "", reading));
    }

    private void Begin()
    {
        _work.Drop();
        if (_asked is not var (job, cores))
        {
            Stage = SimulationStage.None;
            return;
        }

        Stage = SimulationStage.InLine;
        _work.Begin(
            turn => WorkAsync(job, cores, turn), fault => (Fault, Stage) = (fault, SimulationStage.Stopped),
            stopped: () => Stage = SimulationStage.Stopped);
    }

    private async Task WorkAsync(GraphJob job, int cores, LatestWork.Turn turn)
    {
        await turns.TakeAsync(
            () =>
            {
                turn.Show(() => Stage = SimulationStage.Working);
                WorkOut(job, cores, turn);
                return true;
            },
            turn.Cancellation);
        turn.Show(() => Stage = SimulationStage.Done);
    }

    private void WorkOut(GraphJob job, int cores, LatestWork.Turn turn)
    {
        CancellationToken cancellation = turn.Cancellation;
        GraphStudy study = Study ?? GraphStudy.Of(job, cancellation);
        turn.Show(() => Study = study);
        GraphSchedule schedule = OnCores.FirstOrDefault(on => on.Outlook.Cores == cores)?.Outlook.Schedule
            ?? GraphScheduling.Outlook(job.Graph, cores, EffortFor(job.Graph), cancellation).Schedule;
        var look = new GraphLook(cores, new ScheduleStretches(schedule, study.Kinds), ImmutableSortedDictionary<int, double>.Empty);
        turn.Show(() => Look = look);

        IReadOnlyList<SimulatedPool>? pools = _pools;
        if (pools is null)
        {
            pools = GraphForecastRuns.Run(job, Seed, SimulationTurns.Threads, cancellation: cancellation);
            if (turn.Show(() => _pools = pools))
                Refined?.Invoke(job, pools);
        }

        // What a change of the cores looked at, or a stop, has left undone is gone on with.
        foreach (SimulatedPool pool in pools.Skip(OnCores.Length))
        {
            // More cores than tasks at one time change nothing.
            if (OnCores.Length > 0 && OnCores[^1].Outlook.Cores >= study.Profile.MaxWidth)
                break;
            var on = new GraphOnCores(GraphScheduling.Outlook(job.Graph, pool.Pool.Workers, EffortFor(job.Graph), cancellation), pool);
            turn.Show(() => OnCores = OnCores.Add(on));
            cancellation.ThrowIfCancellationRequested();
        }

        if (job.Graph.Count > LargeGraph)
            return;
        var gains = ImmutableSortedDictionary.CreateBuilder<int, double>();
        foreach (CriticalTask task in study.CriticalPath.OrderByDescending(task => task.Seconds).Take(MostGains))
            gains[task.Task] = ShorteningGains.OnSchedule(job.Graph, cores, task.Task, GraphStudy.ShortenedBy, cancellation);
        turn.Show(() => Look = look with { Gains = gains.ToImmutable() });
    }

    private static SchedulingEffort EffortFor(TaskGraph graph) => new() { Placements = graph.Count > LargeGraph ? 0 : 1_000_000, Seed = Seed };
}
