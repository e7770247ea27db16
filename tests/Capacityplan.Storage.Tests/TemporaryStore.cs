using Capacityplan.Storage.Database;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Options;
using Npgsql;

namespace Capacityplan.Storage.Tests;

/// <summary>
/// A store of one test's own, in a temporary folder that goes with it. The environment variable
/// CAPACITYPLAN_TEST_DATABASE, a PostgreSQL connection string whose user may make databases, puts it in a database of
/// its own on that server instead, so that the same tests hold for both.
/// </summary>
internal sealed class TemporaryStore : IAsyncDisposable
{
    private readonly List<ServiceProvider> _opened = [];

    private TemporaryStore(bool fileOnly)
    {
        if (!fileOnly && Environment.GetEnvironmentVariable("CAPACITYPLAN_TEST_DATABASE") is { Length: > 0 } server)
            Database = new NpgsqlConnectionStringBuilder(server) { Database = $"capacityplan_test_{Guid.NewGuid():N}" }.ToString();
    }

    public SettableClock Clock { get; } = new();

    public string Directory { get; } = System.IO.Directory.CreateTempSubdirectory("capacityplan-").FullName;

    /// <summary>Connection string of the database on a server; null where it is a file.</summary>
    public string? Database { get; }

    public string DatabaseFile => Path.Combine(Directory, "capacityplan.db");

    /// <summary>A store not prepared yet; a file whatever the environment says where the test is about files.</summary>
    public static TemporaryStore Unprepared(bool fileOnly = false) => new(fileOnly);

    /// <summary>A store with its tables, and the demo if one is given.</summary>
    public static async Task<TemporaryStore> PreparedAsync(DemoData? demo = null)
    {
        var store = new TemporaryStore(fileOnly: false);
        try
        {
            await store.Open().PrepareAsync(demo);
            return store;
        }
        catch
        {
            await store.DisposeAsync();
            throw;
        }
    }

    /// <summary>A start with options of the test's own.</summary>
    public static StorageStartup Startup(StorageOptions options, TimeSpan? patience = null)
    {
        IOptions<StorageOptions> given = Options.Create(options);
        return new StorageStartup(given, new StorageContextFactory(given), TimeProvider.System, NullLogger<StorageStartup>.Instance)
        {
            Patience = patience ?? TimeSpan.FromSeconds(30),
        };
    }

    /// <summary>Opens the store as a process of its own would: nothing is shared with another one but the database.</summary>
    public OpenedStore Open()
    {
        IConfiguration configuration = new ConfigurationBuilder()
            .AddInMemoryCollection(new Dictionary<string, string?>
            {
                [StorageOptions.DataDirectoryKey] = Directory,
                [StorageOptions.DatabaseKey] = Database,
            })
            .Build();
        ServiceProvider services = new ServiceCollection()
            .AddLogging()
            .AddSingleton<TimeProvider>(Clock)
            .AddCapacityplanStorage(configuration)
            .BuildServiceProvider(validateScopes: true);
        _opened.Add(services);
        return new OpenedStore(services);
    }

    public async ValueTask DisposeAsync()
    {
        if (Database is not null)
        {
            await using StorageContext context = await Open().Contexts.CreateDbContextAsync();
            await context.Database.EnsureDeletedAsync();
        }

        foreach (ServiceProvider services in _opened)
            await services.DisposeAsync();
        using (var pooled = new SqliteConnection(StorageContextFactory.SqliteConnectionText(new StorageOptions { DataDirectory = Directory })))
            SqliteConnection.ClearPool(pooled);
        System.IO.Directory.Delete(Directory, recursive: true);
    }
}

/// <summary>What a process sees of a store.</summary>
internal sealed record OpenedStore(IServiceProvider Services)
{
    public PlanStore Plans => Services.GetRequiredService<PlanStore>();

    public CatalogueStore Catalogues => Services.GetRequiredService<CatalogueStore>();

    public IDbContextFactory<StorageContext> Contexts => Services.GetRequiredService<IDbContextFactory<StorageContext>>();

    public Task PrepareAsync(DemoData? demo = null) =>
        Services.GetRequiredService<StorageStartup>().PrepareAsync(demo, TestContext.Current.CancellationToken);
}
