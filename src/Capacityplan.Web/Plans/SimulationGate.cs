namespace Capacityplan.Web.Plans;

/// <summary>Lets so many simulations run at once, whoever asked for them; the others wait in line.</summary>
public sealed class SimulationGate : IDisposable
{
    private const int AtOnce = 2;

    private readonly SemaphoreSlim _places = new(AtOnce);

    /// <summary>Threads a simulation may keep busy: all but one, which is left to the pages.</summary>
    public static int Threads { get; } = Math.Max(1, Environment.ProcessorCount - 1);

    /// <summary>Waits for a place.</summary>
    public Task EnterAsync(CancellationToken cancellation) => _places.WaitAsync(cancellation);

    /// <summary>Gives the place to the next in line.</summary>
    public void Leave() => _places.Release();

    /// <inheritdoc/>
    public void Dispose() => _places.Dispose();
}
