namespace Capacityplan.Core.Stealing;

/// <summary>Gathers runs as they come in, in whatever order, and tells of them in order.</summary>
internal sealed class ReplicateRuns(IReadOnlyList<WorkerPool> pools, int count, IProgress<SimulationProgress>? progress)
{
    private readonly SimulatedRun[]?[] _runs = new SimulatedRun[count][];
    private readonly Lock _lock = new();
    private int _complete;
    private int _nextReport = 1;

    public void Add(int replicate, SimulatedRun[] runs)
    {
        lock (_lock)
        {
            _runs[replicate] = runs;
            while (_complete < count && _runs[_complete] is not null)
            {
                _complete++;
                if (_complete < _nextReport || progress is null)
                    continue;
                progress.Report(new SimulationProgress(count, First(_complete)));
                _nextReport = _complete + Math.Max(1, Math.Min(_complete, count / 20));
            }
        }
    }

    public SimulatedPool[] Result() => First(count);

    private SimulatedPool[] First(int replicates) => [.. pools.Select((pool, i) =>
        new SimulatedPool(pool, [.. _runs.Take(replicates).Select(runs => runs![i])]))];
}
