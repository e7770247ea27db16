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

    private readonly Lock _lock = new();
    private CancellationTokenSource? _opening;
    private CancellationTokenSource? _running;
    private Task _work = Task.CompletedTask;
    private Task _reading = Task.CompletedTask;
    private string _opened = "";
    private (GraphJob Job, int Cores)? _asked;
    private IReadOnlyList<SimulatedPool>? _pools;
    private bool _isDisposed;

    /// <summary>Raised, on any thread, whenever something shown has changed.</summary>
    public event Action? Changed;

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
        lock (_lock)
        {
            if (_isDisposed || draft.GraphFile == _opened)
                return;
            _opened = draft.GraphFile;
            _opening?.Cancel();
            _opening = null;
            ReadShare = null;
            if (draft.GraphFile.Length == 0)
                return;
            var source = new CancellationTokenSource();
            (_opening, ReadShare) = (source, 0);
            _reading = Task.Run(() => ReadAsync(draft.GraphFile, draft.GraphFileName, source));
        }
    }

    /// <summary>Takes a file that has just been read; the draft that refers to it comes after.</summary>
    /// <param name="graph">What was read.</param>
    public void Take(DraftGraph graph)
    {
        lock (_lock)
        {
            _opening?.Cancel();
            (_opening, _opened, ReadShare) = (null, graph.File, null);
        }

        Read?.Invoke(graph);
    }

    /// <summary>Takes what is to be studied; nothing happens where it is what was asked for last.</summary>
    /// <param name="job">The job; null for none.</param>
    /// <param name="cores">The cores its schedule is looked at on.</param>
    public void Show(GraphJob? job, int cores)
    {
        lock (_lock)
        {
            (GraphJob, int)? asked = job is null ? null : (job, cores);
            if (_isDisposed || asked == _asked)
                return;
            bool isSameJob = job is not null && _asked?.Job == job;
            _asked = asked;
            (Look, Fault) = (null, null);
            if (!isSameJob)
                (Study, OnCores, _pools) = (null, [], null);
            Begin();
        }

        Changed?.Invoke();
    }

    /// <summary>Stops the work under way; what has come in stands.</summary>
    public void Stop()
    {
        lock (_lock)
        {
            _running?.Cancel();
            _running = null;
            Stage = SimulationStage.Stopped;
        }

        Changed?.Invoke();
    }

    /// <summary>Goes on after a stop.</summary>
    public void Resume()
    {
        lock (_lock)
        {
            if (_isDisposed || Stage != SimulationStage.Stopped)
                return;
            Begin();
        }

        Changed?.Invoke();
    }

    /// <summary>Completes when the work begun so far has ended.</summary>
    public async Task WhenSettledAsync()
    {
        await _reading;
        await _work;
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        Changed = null;
        Read = null;
        Refined = null;
        lock (_lock)
        {
            _isDisposed = true;
            _opening?.Cancel();
            _running?.Cancel();
            _running = null;
        }

        await WhenSettledAsync();
    }

    private async Task ReadAsync(string key, string name, CancellationTokenSource source)
    {
        try
        {
            long length = await files.LengthAsync(key, source.Token) ?? 0;
            await using Stream? stream = await files.OpenAsync(key, source.Token);
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
                using var text = new StreamReader(stream);
                reading = await TaskGraphReader.ReadAsync(text, Told(so => ReadShare = Math.Min(1, so.Characters / Math.Max(1.0, length)), source), source.Token);
            }

            bool isWanted;
            lock (_lock)
            {
                isWanted = _opening == source;
                if (isWanted)
                    (_opening, ReadShare) = (null, null);
            }

            if (isWanted)
                Read?.Invoke(new DraftGraph(key, "", reading));
            Changed?.Invoke();
        }
        catch (OperationCanceledException)
        {
            // Another file has taken its place, or the page has gone.
        }
        catch (Exception fault)
        {
            lock (_lock)
            {
                if (_opening == source)
                    (_opening, ReadShare, Fault) = (null, null, fault);
            }

            Changed?.Invoke();
        }
        finally
        {
            source.Dispose();
        }
    }

    private Progress<TaskGraphProgress> Told(Action<TaskGraphProgress> tell, CancellationTokenSource source)
    {
        long last = clock.GetTimestamp();
        return new Progress<TaskGraphProgress>(so =>
        {
            lock (_lock)
            {
                if (_opening != source || clock.GetElapsedTime(last) < s_betweenReports)
                    return;
                last = clock.GetTimestamp();
                tell(so);
            }

            Changed?.Invoke();
        });
    }

    private void Begin()
    {
        _running?.Cancel();
        _running = null;
        if (_asked is not { } asked)
        {
            Stage = SimulationStage.None;
            return;
        }

        var source = new CancellationTokenSource();
        _running = source;
        Stage = SimulationStage.InLine;
        Task before = _work;
        _work = Task.Run(() => WorkAsync(asked.Job, asked.Cores, before, source));
    }

    private async Task WorkAsync(GraphJob job, int cores, Task before, CancellationTokenSource source)
    {
        try
        {
            await before;
            await turns.TakeAsync(
                () =>
                {
                    Publish(source, () => Stage = SimulationStage.Working);
                    WorkOut(job, cores, source, source.Token);
                    return true;
                },
                source.Token);
            Publish(source, () => Stage = SimulationStage.Done);
        }
        catch (OperationCanceledException)
        {
            Publish(source, () => Stage = SimulationStage.Stopped);
        }
        catch (Exception fault)
        {
            Publish(source, () => (Fault, Stage) = (fault, SimulationStage.Stopped));
        }
        finally
        {
            lock (_lock)
            {
                if (_running == source)
                    _running = null;
            }

            source.Dispose();
        }
    }

    private void WorkOut(GraphJob job, int cores, CancellationTokenSource source, CancellationToken cancellation)
    {
        GraphStudy study = Study ?? GraphStudy.Of(job, cancellation);
        Publish(source, () => Study = study);
        GraphSchedule schedule = OnCores.FirstOrDefault(on => on.Outlook.Cores == cores)?.Outlook.Schedule
            ?? GraphScheduling.Outlook(job.Graph, cores, EffortFor(job.Graph), cancellation).Schedule;
        var look = new GraphLook(cores, new ScheduleStretches(schedule, study.Kinds), ImmutableSortedDictionary<int, double>.Empty);
        Publish(source, () => Look = look);

        IReadOnlyList<SimulatedPool>? pools = _pools;
        if (pools is null)
        {
            pools = GraphForecastRuns.Run(job, Seed, SimulationTurns.Threads, cancellation: cancellation);
            bool isWanted = false;
            Publish(source, () => (_pools, isWanted) = (pools, true));
            if (isWanted)
                Refined?.Invoke(job, pools);
        }

        // What a change of the cores looked at, or a stop, has left undone is gone on with.
        foreach (SimulatedPool pool in pools.Skip(OnCores.Length))
        {
            // More cores than tasks at one time change nothing.
            if (OnCores.Length > 0 && OnCores[^1].Outlook.Cores >= study.Profile.MaxWidth)
                break;
            var on = new GraphOnCores(GraphScheduling.Outlook(job.Graph, pool.Pool.Workers, EffortFor(job.Graph), cancellation), pool);
            Publish(source, () => OnCores = OnCores.Add(on));
            cancellation.ThrowIfCancellationRequested();
        }

        if (job.Graph.Count > LargeGraph)
            return;
        var gains = ImmutableSortedDictionary.CreateBuilder<int, double>();
        foreach (CriticalTask task in study.CriticalPath.OrderByDescending(task => task.Seconds).Take(MostGains))
            gains[task.Task] = ShorteningGains.OnSchedule(job.Graph, cores, task.Task, GraphStudy.ShortenedBy, cancellation);
        Publish(source, () => Look = look with { Gains = gains.ToImmutable() });
    }

    private static SchedulingEffort EffortFor(TaskGraph graph) => new() { Placements = graph.Count > LargeGraph ? 0 : 1_000_000, Seed = Seed };

    /// <summary>Shows a change, unless a later order has overtaken it.</summary>
    private void Publish(CancellationTokenSource source, Action change)
    {
        lock (_lock)
        {
            if (_running != source)
                return;
            change();
        }

        Changed?.Invoke();
    }
}
