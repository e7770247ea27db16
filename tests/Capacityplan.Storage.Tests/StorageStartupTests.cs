using Capacityplan.Storage.Database;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Options;

namespace Capacityplan.Storage.Tests;

public sealed class StorageStartupTests
{
    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Prepare_TheFirstTime_StoresTheDemoAsDefault()
    {
        await using TemporaryStore store = TemporaryStore.Unprepared();
        OpenedStore opened = store.Open();
        DemoData demo = Samples.Demo();

        await opened.PrepareAsync(demo);

        StoredPlan plan = Assert.Single(await opened.Plans.ListAsync(cancellationToken: Cancel));
        Assert.Equal((demo.Plan, 1, null), (plan.Draft, plan.Version, plan.LastAnswer));
        StoredCatalogue catalogue = Assert.Single(await opened.Catalogues.ListAsync(Cancel));
        Samples.AssertSame(demo.Catalogue, catalogue.Catalogue);
        await opened.Catalogues.CreateAsync(Samples.TwoMachines("Another, first by name"), Cancel);
        Assert.Equal(catalogue.Id, (await opened.Catalogues.GetDefaultAsync(Cancel))?.Id);
    }

    [Fact]
    public async Task Prepare_AgainAfterTheDemoWasDeletedAndPurged_StoresNoDemo()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync(Samples.Demo());
        OpenedStore first = store.Open();
        await first.PrepareAsync(Samples.Demo());
        StoredPlan plan = Assert.Single(await first.Plans.ListAsync(cancellationToken: Cancel));
        await first.Plans.DeleteAsync(plan.Id, Cancel);
        await first.Catalogues.DeleteAsync(Assert.Single(await first.Catalogues.ListAsync(Cancel)).Id, Cancel);
        store.Clock.Now += PlanStore.KeepDeletedFor + TimeSpan.FromDays(1);

        OpenedStore later = store.Open();
        await later.PrepareAsync(Samples.Demo());

        Assert.Empty(await later.Plans.ListAsync(cancellationToken: Cancel));
        Assert.Empty(await later.Catalogues.ListAsync(Cancel));
        Assert.False(await later.Plans.RestoreAsync(plan.Id, Cancel));
    }

    [Fact]
    public async Task Prepare_WithADemoWhereThereArePlansAlready_StoresNoDemo()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync(demo: null);
        OpenedStore opened = store.Open();
        StoredPlan own = await opened.Plans.CreateAsync(Samples.EveryField(), null, Cancel);

        await opened.PrepareAsync(Samples.Demo());
        await opened.Plans.DeleteAsync(own.Id, Cancel);
        store.Clock.Now += PlanStore.KeepDeletedFor + TimeSpan.FromDays(1);
        await opened.PrepareAsync(Samples.Demo());

        Assert.Empty(await opened.Plans.ListAsync(cancellationToken: Cancel));
        Assert.Empty(await opened.Catalogues.ListAsync(Cancel));
    }

    [Fact]
    public async Task Prepare_ANewFile_LetsReadersAndOneWriterWorkAtOnce()
    {
        await using TemporaryStore store = TemporaryStore.Unprepared(fileOnly: true);
        OpenedStore opened = store.Open();
        await opened.PrepareAsync(Samples.Demo());

        await using var writer = new SqliteConnection($"Data Source={store.DatabaseFile};Pooling=False");
        await writer.OpenAsync(Cancel);
        await using SqliteCommand mode = writer.CreateCommand();
        mode.CommandText = "PRAGMA journal_mode";
        Assert.Equal("wal", await mode.ExecuteScalarAsync(Cancel));

        await using var transaction = (SqliteTransaction)await writer.BeginTransactionAsync(Cancel);
        mode.Transaction = transaction;
        mode.CommandText = "DELETE FROM Plans";
        await mode.ExecuteNonQueryAsync(Cancel);
        Assert.Single(await opened.Plans.ListAsync(cancellationToken: Cancel));
    }

    [Fact]
    public async Task Prepare_AnEmptyFileMadeByHand_IsMadeADatabase()
    {
        await using TemporaryStore store = TemporaryStore.Unprepared(fileOnly: true);
        await File.WriteAllBytesAsync(store.DatabaseFile, [], Cancel);

        OpenedStore opened = store.Open();
        await opened.PrepareAsync(Samples.Demo());

        Assert.Single(await opened.Plans.ListAsync(cancellationToken: Cancel));
    }

    [Fact]
    public async Task Prepare_AFolderThatIsNotThereYet_MakesIt()
    {
        await using TemporaryStore store = TemporaryStore.Unprepared(fileOnly: true);
        string directory = Path.Combine(store.Directory, "one", "two");

        await TemporaryStore.Startup(new StorageOptions { DataDirectory = directory }).PrepareAsync(cancellationToken: Cancel);

        Assert.True(File.Exists(Path.Combine(directory, "capacityplan.db")));
    }

    [Fact]
    public async Task Prepare_AnUpgradeOnceStoppedHalfWay_IsDoneAgain()
    {
        await using TemporaryStore store = TemporaryStore.Unprepared(fileOnly: true);
        // What EF leaves behind when its process is killed before the first table is made.
        await ExecuteAsync(store.DatabaseFile, """
            CREATE TABLE "__EFMigrationsLock" ("Id" INTEGER NOT NULL CONSTRAINT "PK___EFMigrationsLock" PRIMARY KEY, "Timestamp" TEXT NOT NULL);
            INSERT INTO "__EFMigrationsLock" VALUES (1, '2026-11-03 04:00:00');
            """);

        OpenedStore opened = store.Open();
        await opened.PrepareAsync(Samples.Demo());

        Assert.Single(await opened.Plans.ListAsync(cancellationToken: Cancel));
    }

    [Fact]
    public async Task Prepare_TheDataDirectoryOfALaterVersion_IsRefusedAndLeftAlone()
    {
        await using TemporaryStore store = TemporaryStore.Unprepared(fileOnly: true);
        await store.Open().PrepareAsync(Samples.Demo());
        await ExecuteAsync(store.DatabaseFile, """INSERT INTO "__EFMigrationsHistory" VALUES ('29990101000000_Later', '99.0.0')""");

        StorageException refused = await Assert.ThrowsAsync<StorageException>(() => store.Open().PrepareAsync());

        Assert.Contains("later version", refused.Message, StringComparison.Ordinal);
        Assert.Contains(store.DatabaseFile, refused.Message, StringComparison.Ordinal);
        Assert.Contains(StorageOptions.DataDirectoryKey, refused.Message, StringComparison.Ordinal);
        Assert.Single(await store.Open().Plans.ListAsync(cancellationToken: Cancel));
    }

    [Fact]
    public async Task Prepare_AFileThatIsNoDatabase_SaysWhichAndLeavesItAlone()
    {
        await using TemporaryStore store = TemporaryStore.Unprepared(fileOnly: true);
        string text = string.Concat(Enumerable.Repeat("This is a shopping list. ", 100));
        await File.WriteAllTextAsync(store.DatabaseFile, text, Cancel);

        StorageException refused = await Assert.ThrowsAsync<StorageException>(() => store.Open().PrepareAsync());

        Assert.StartsWith($"The file {store.DatabaseFile} is not a database.", refused.Message, StringComparison.Ordinal);
        Assert.Contains(StorageOptions.DataDirectoryKey, refused.Message, StringComparison.Ordinal);
        Assert.Equal(text, await File.ReadAllTextAsync(store.DatabaseFile, Cancel));
    }

    [Fact]
    public async Task Prepare_TheDatabaseOfSomethingElse_SaysWhichAndLeavesItAlone()
    {
        await using TemporaryStore store = TemporaryStore.Unprepared(fileOnly: true);
        await ExecuteAsync(store.DatabaseFile, "CREATE TABLE Recipes (Name TEXT)");

        StorageException refused = await Assert.ThrowsAsync<StorageException>(() => store.Open().PrepareAsync());

        Assert.Contains(store.DatabaseFile, refused.Message, StringComparison.Ordinal);
        Assert.Contains("Recipes", refused.Message, StringComparison.Ordinal);
        await using var connection = new SqliteConnection($"Data Source={store.DatabaseFile};Pooling=False");
        await connection.OpenAsync(Cancel);
        await using SqliteCommand count = connection.CreateCommand();
        count.CommandText = "SELECT count(*) FROM sqlite_master";
        Assert.Equal(1L, await count.ExecuteScalarAsync(Cancel));
    }

    [Fact]
    public async Task Prepare_AFolderWhereTheFileShouldBe_SaysItCannotBeUsed()
    {
        await using TemporaryStore store = TemporaryStore.Unprepared(fileOnly: true);
        Directory.CreateDirectory(store.DatabaseFile);

        StorageException refused = await Assert.ThrowsAsync<StorageException>(() => store.Open().PrepareAsync());

        Assert.Contains(store.DatabaseFile, refused.Message, StringComparison.Ordinal);
        Assert.Contains("cannot be read and written", refused.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("")]
    [InlineData("below")]
    public async Task Prepare_AFileWhereTheFolderShouldBe_SaysWhichPath(string below)
    {
        await using TemporaryStore store = TemporaryStore.Unprepared(fileOnly: true);
        string file = Path.Combine(store.Directory, "file");
        await File.WriteAllTextAsync(file, "", Cancel);
        string directory = Path.Combine(file, below);

        StorageException refused = await Assert.ThrowsAsync<StorageException>(() => TemporaryStore.Startup(new StorageOptions { DataDirectory = directory }).PrepareAsync(cancellationToken: Cancel));

        Assert.StartsWith($"The data directory {directory} cannot be used: ", refused.Message, StringComparison.Ordinal);
        Assert.Contains(StorageOptions.DataDirectoryKey, refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Prepare_WithOptionsThatDoNotHold_GivesTheirMessage()
    {
        var options = new OptionsManager<StorageOptions>(new OptionsFactory<StorageOptions>(
            [new ConfigureOptions<StorageOptions>(o => o.Database = "nonsense")], [], [new StorageOptionsValidator()]));
        var startup = new StorageStartup(
            options, new StorageContextFactory(options), TimeProvider.System, NullLogger<StorageStartup>.Instance);

        StorageException refused = await Assert.ThrowsAsync<StorageException>(() => startup.PrepareAsync(cancellationToken: Cancel));

        Assert.StartsWith($"{StorageOptions.DatabaseKey} is not a PostgreSQL connection string.", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Prepare_AServerThatIsNotThere_NamesItWithoutThePassword()
    {
        // Port 1 of the own machine: reserved, so nothing answers there.
        var options = new StorageOptions { Database = "Host=127.0.0.1;Port=1;Database=plans;Username=u;Password=secret;Timeout=2" };

        StorageException refused = await Assert.ThrowsAsync<StorageException>(() => TemporaryStore.Startup(options).PrepareAsync(cancellationToken: Cancel));

        Assert.StartsWith("Cannot prepare the PostgreSQL database 'plans' on 127.0.0.1, port 1: ", refused.Message, StringComparison.Ordinal);
        Assert.Contains(StorageOptions.DatabaseKey, refused.Message, StringComparison.Ordinal);
        Assert.DoesNotContain("secret", refused.ToString(), StringComparison.Ordinal);
    }

    private static async Task ExecuteAsync(string file, string sql)
    {
        await using var connection = new SqliteConnection($"Data Source={file};Pooling=False");
        await connection.OpenAsync(Cancel);
        await using SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        await command.ExecuteNonQueryAsync(Cancel);
    }
}
