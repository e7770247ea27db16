using Capacityplan.Storage.Database;
using Microsoft.EntityFrameworkCore;

namespace Capacityplan.Storage.Tests;

/// <summary>Several processes that prepare one store at once; nothing is shared between them but its database.</summary>
public sealed class StartingAtOnceTests
{
    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Prepare_InSeveralProcessesAtOnce_StoresOneDemo()
    {
        await using TemporaryStore store = TemporaryStore.Unprepared();
        OpenedStore[] processes = [.. Enumerable.Range(0, 6).Select(_ => store.Open())];

        await Task.WhenAll(processes.Select(process => Task.Run(() => process.PrepareAsync(Samples.Demo()), Cancel)));

        Assert.Single(await processes[0].Plans.ListAsync(cancellationToken: Cancel));
        Assert.Single(await processes[0].Catalogues.ListAsync(Cancel));
    }

    /// <summary>Several servers are replaced by ones of this version at once.</summary>
    [Fact]
    public async Task Prepare_AnOldDatabaseInSeveralProcessesAtOnce_UpgradesItOnce()
    {
        await using TemporaryStore store = TemporaryStore.Unprepared();
        string[] migrations;
        await using (StorageContext context = await store.Open().Contexts.CreateDbContextAsync(Cancel))
        {
            migrations = [.. context.Database.GetMigrations()];
            await context.Database.MigrateAsync(migrations[0], Cancel);
        }

        OpenedStore[] processes = [.. Enumerable.Range(0, 6).Select(_ => store.Open())];
        await Task.WhenAll(processes.Select(process => Task.Run(() => process.PrepareAsync(Samples.Demo()), Cancel)));
        await processes[0].PrepareAsync(Samples.Demo());

        await using StorageContext upgraded = await processes[0].Contexts.CreateDbContextAsync(Cancel);
        Assert.Equal(migrations, await upgraded.Database.GetAppliedMigrationsAsync(Cancel));
        Assert.Single(await processes[0].Plans.ListAsync(cancellationToken: Cancel));
    }

    [Fact]
    public async Task Prepare_WhileAnotherProcessPrepares_WaitsForItAndNotForEver()
    {
        await using TemporaryStore store = TemporaryStore.Unprepared(fileOnly: true);
        Task waiting;
        using (await StartLock.TakeAsync(store.Directory, TimeSpan.Zero, Cancel))
        {
            StorageException refused = await Assert.ThrowsAsync<StorageException>(
                () => TemporaryStore.Startup(new StorageOptions { DataDirectory = store.Directory }, TimeSpan.Zero).PrepareAsync(cancellationToken: Cancel));
            Assert.Contains("Another Capacityplan", refused.Message, StringComparison.Ordinal);
            Assert.Contains(store.Directory, refused.Message, StringComparison.Ordinal);

            waiting = store.Open().PrepareAsync();
            Assert.False(waiting.IsCompleted);
            Assert.False(File.Exists(store.DatabaseFile));
        }

        await waiting;
        Assert.True(File.Exists(store.DatabaseFile));
    }

    [Fact]
    public async Task Prepare_WhileAnotherProcessPreparesTheServer_WaitsForItAndNotForEver()
    {
        await using TemporaryStore store = TemporaryStore.Unprepared();
        Assert.SkipUnless(store.Database is not null, "Needs a PostgreSQL server: CAPACITYPLAN_TEST_DATABASE.");
        var options = new StorageOptions { Database = store.Database };
        await using StorageContext context = await store.Open().Contexts.CreateDbContextAsync(Cancel);
        Task waiting;
        await using (await ServerLock.TakeAsync(context, store.Database, TimeSpan.FromSeconds(30), Cancel))
        {
            StorageException refused = await Assert.ThrowsAsync<StorageException>(() => TemporaryStore.Startup(options, TimeSpan.Zero).PrepareAsync(cancellationToken: Cancel));
            Assert.StartsWith("Another Capacityplan has been preparing the PostgreSQL database", refused.Message, StringComparison.Ordinal);

            waiting = store.Open().PrepareAsync();
            Assert.Empty(await context.Database.GetAppliedMigrationsAsync(Cancel));
        }

        await waiting;
        Assert.NotEmpty(await context.Database.GetAppliedMigrationsAsync(Cancel));
    }
}
