using Capacityplan.Storage;

namespace Capacityplan.Web.Serving;

/// <summary>Makes the store ready, with the demo in it on the first start, before the first request is taken.</summary>
internal sealed class StorePreparation(StorageStartup store) : IHostedLifecycleService
{
    public Task StartingAsync(CancellationToken cancellationToken) => store.PrepareAsync(DemoData.Load(), cancellationToken);

    public Task StartAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StartedAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StoppingAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StoppedAsync(CancellationToken cancellationToken) => Task.CompletedTask;
}
