namespace Capacityplan.Web.Api;

/// <summary>Lets callers' simulations run one after another, so that together they take no more of the machine than one.</summary>
internal sealed class SimulationTurns : IDisposable
{
    private readonly SemaphoreSlim _turn = new(1);

    /// <inheritdoc/>
    public void Dispose() => _turn.Dispose();

    /// <summary>Waits for its turn, then works away from the caller's thread.</summary>
    /// <param name="work">What to do.</param>
    /// <param name="cancellation">Ends the wait, and the work where it looks at it.</param>
    public async Task<T> TakeAsync<T>(Func<T> work, CancellationToken cancellation)
    {
        await _turn.WaitAsync(cancellation);
        try
        {
            return await Task.Run(work, cancellation);
        }
        finally
        {
            _turn.Release();
        }
    }
}
