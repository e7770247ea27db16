using Capacityplan.Core.Machines;
using Capacityplan.Storage;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;

namespace Capacityplan.Web.Tests;

/// <summary>A real store of one test's own, in a temporary folder that goes with it, and the clock it runs by.</summary>
internal sealed class TemporaryStore : IAsyncDisposable
{
    private readonly string _directory = Directory.CreateTempSubdirectory("capacityplan-").FullName;
    private readonly ServiceProvider _services;

    private TemporaryStore()
    {
        IConfiguration configuration = new ConfigurationBuilder()
            .AddInMemoryCollection(new Dictionary<string, string?> { ["Capacityplan:DataDirectory"] = _directory })
            .Build();
        _services = new ServiceCollection()
            .AddLogging()
            .AddSingleton<TimeProvider>(Clock)
            .AddCapacityplanStorage(configuration)
            .BuildServiceProvider();
    }

    public FakeTimeProvider Clock { get; } = new(new DateTimeOffset(2026, 11, 24, 21, 14, 0, TimeSpan.Zero));

    public PlanStore Plans => _services.GetRequiredService<PlanStore>();

    public CatalogueStore Catalogues => _services.GetRequiredService<CatalogueStore>();

    public JobFileStore Files => _services.GetRequiredService<JobFileStore>();

    public static async Task<TemporaryStore> OpenAsync()
    {
        var store = new TemporaryStore();
        await store._services.GetRequiredService<StorageStartup>().PrepareAsync();
        return store;
    }

    /// <summary>Two birds, priced three weeks ago.</summary>
    public static Catalogue Birds(DateOnly? pricesOf = null) => new()
    {
        Name = "Birds",
        PricesOf = pricesOf ?? new DateOnly(2026, 11, 3),
        Machines = [Bird("Wren-4", 4, 0.39m), Bird("Heron-16", 16, 1.50m)],
    };

    public static MachineType Bird(string name, int threads, decimal price) => new()
    {
        Name = name,
        HardwareThreads = threads,
        PhysicalCores = threads / 2,
        MemoryGiB = threads * 4,
        StartUpSeconds = 45,
        Purchase = [new MeteredPurchase { Currency = "EUR", PricePerHour = price, MinimumSeconds = 60 }],
    };

    /// <summary>Writes a text into every row past the store, as a damaged file would have it.</summary>
    public Task DamageAsync(string table, string column, string text) => ExecuteAsync($"UPDATE \"{table}\" SET \"{column}\" = $text", text);

    /// <summary>Takes a table away, so that nothing can be saved to it.</summary>
    public Task DropAsync(string table) => ExecuteAsync($"DROP TABLE \"{table}\"", "");

    private async Task ExecuteAsync(string statement, string text)
    {
        await using var connection = new SqliteConnection($"Data Source={Path.Combine(_directory, "capacityplan.db")}");
        await connection.OpenAsync();
        await using SqliteCommand command = connection.CreateCommand();
        command.CommandText = statement;
        command.Parameters.AddWithValue("$text", text);
        await command.ExecuteNonQueryAsync();
    }

    public async ValueTask DisposeAsync()
    {
        await _services.DisposeAsync();
        SqliteConnection.ClearAllPools();
        Directory.Delete(_directory, recursive: true);
    }
}
