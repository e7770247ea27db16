using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;

namespace Capacityplan.Storage.Database;

/// <summary>
/// Gives each operation a context of its own, for the database the options name. The options are read at the first use
/// and not at registration, so that a host may still change its configuration while it is being built.
/// </summary>
/// <param name="options">Where the database is.</param>
/// <param name="application">The host's services, for its logging; null for none.</param>
internal sealed class StorageContextFactory(IOptions<StorageOptions> options, IServiceProvider? application = null) : IDbContextFactory<StorageContext>
{
    /// <summary>
    /// Seconds a command waits for another writer of the same SQLite file. Writes here take milliseconds; a wait this
    /// long means something else holds the file.
    /// </summary>
    private const int BusyTimeoutSeconds = 15;

    private readonly Lazy<Func<StorageContext>> _make = new(() => Chosen(options.Value, application));

    public StorageContext CreateDbContext() => _make.Value();

    private static Func<StorageContext> Chosen(StorageOptions options, IServiceProvider? application)
    {
        if (options.Database is { } connection)
        {
            DbContextOptions<PostgresStorageContext> postgres = new DbContextOptionsBuilder<PostgresStorageContext>()
                .UseNpgsql(connection).UseApplicationServiceProvider(application).Options;
            return () => new PostgresStorageContext(postgres);
        }

        DbContextOptions<SqliteStorageContext> sqlite = new DbContextOptionsBuilder<SqliteStorageContext>()
            .UseSqlite(SqliteConnectionText(options)).UseApplicationServiceProvider(application).Options;
        return () => new SqliteStorageContext(sqlite);
    }

    internal static string SqliteConnectionText(StorageOptions options) => new SqliteConnectionStringBuilder
    {
        DataSource = options.DatabaseFile,
        DefaultTimeout = BusyTimeoutSeconds,
    }.ToString();
}
