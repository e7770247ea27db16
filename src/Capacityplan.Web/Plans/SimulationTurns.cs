namespace Capacityplan.Web.Plans;

/// <summary>Lets so many simulations run at once, whoever asks for them, pages or callers of the API; the others wait in line.</summary>
public sealed class SimulationTurns : IDisposable
{
    private const int AtOnce = 2;

    private readonly SemaphoreSlim _turns = new(AtOnce);

    /// <summary>Threads a simulation may keep busy: half the machine, so that two leave room for the pages' own work.</summary>
    public static int Threads { get; } = Math.Max(1, Environment.ProcessorCount / 2);

    /// <inheritdoc/>
    public void Dispose() => _turns.Dispose();

    /// <summary>Waits for its turn, then works on a quiet thread.</summary>
    /// <param name="work">What to do.</param>
    /// <param name="cancellation">Ends the wait, and the work where it looks at it.</param>
    public async Task<T> TakeAsync<T>(Func<T> work, CancellationToken cancellation)
    {
        await _turns.WaitAsync(cancellation);
        try
        {
            return await Task.Factory.StartNew(work, cancellation, TaskCreationOptions.DenyChildAttach, QuietThreads.Shared);
        }
        finally
        {
            _turns.Release();
        }
    }
}
