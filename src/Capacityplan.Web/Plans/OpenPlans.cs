using System.Collections.Concurrent;

namespace Capacityplan.Web.Plans;

/// <summary>
/// Saves what is due on every open plan when the server begins to stop. Their pages save it as well when they end, but
/// that is the last thing a server does, in the few seconds it is given.
/// </summary>
public sealed class OpenPlans : IHostedLifecycleService
{
    private readonly ConcurrentDictionary<PlanSaver, bool> _savers = new();

    /// <summary>A page has opened a plan.</summary>
    public void Open(PlanSaver saver) => _savers[saver] = true;

    /// <summary>It is closed.</summary>
    public void Close(PlanSaver saver) => _savers.TryRemove(saver, out _);

    /// <inheritdoc/>
    public Task StoppingAsync(CancellationToken cancellationToken) => Task.WhenAll(_savers.Keys.Select(saver => saver.SaveAsync()));

    /// <inheritdoc/>
    public Task StartingAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc/>
    public Task StartAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc/>
    public Task StartedAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc/>
    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc/>
    public Task StoppedAsync(CancellationToken cancellationToken) => Task.CompletedTask;
}
