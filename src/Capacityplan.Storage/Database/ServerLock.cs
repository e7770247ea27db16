using Microsoft.EntityFrameworkCore.Infrastructure;
using Microsoft.EntityFrameworkCore.Storage;
using Npgsql;

namespace Capacityplan.Storage.Database;

/// <summary>
/// Lets one process at a time prepare a PostgreSQL database, whichever machines they run on: <see cref="StartLock"/> for a server. The
/// server gives the lock back when a process ends in whatever way.
/// </summary>
/// <remarks>
/// An advisory lock of a transaction on a connection of its own: the migrations make transactions themselves, and a pool of one
/// connection would otherwise wait for itself. (PostgreSQL documentation, "Explicit Locking", 13.3.5.)
/// </remarks>
internal sealed class ServerLock : IAsyncDisposable
{
    /// <summary>Advisory locks are known by a number that every program using the database shares: "capaplan" in ASCII.</summary>
    private const long Number = 0x63617061_706c616e;

    private readonly NpgsqlConnection _connection;

    private ServerLock(NpgsqlConnection connection) => _connection = connection;

    /// <summary>Takes the lock of a database, waiting for another process that has it; makes the database where there is none.</summary>
    /// <param name="context">A context of the database.</param>
    /// <param name="connection">Its connection string.</param>
    /// <param name="patience">How long to wait.</param>
    /// <param name="cancellationToken">Ends the wait.</param>
    /// <exception cref="TimeoutException">Still taken.</exception>
    /// <exception cref="NpgsqlException">The server is not there, or refuses.</exception>
    public static async Task<ServerLock> TakeAsync(
        StorageContext context, string connection, TimeSpan patience, CancellationToken cancellationToken)
    {
        NpgsqlConnection opened = await OpenAsync(context, connection, cancellationToken);
        try
        {
            await opened.BeginTransactionAsync(cancellationToken);
            // The transaction waits idle while another connection prepares, which some servers are told to end. A wait of 0 would be
            // for ever.
            await ExecuteAsync(opened, "SET LOCAL idle_in_transaction_session_timeout = 0", cancellationToken);
            await ExecuteAsync(
                opened, FormattableString.Invariant($"SET LOCAL lock_timeout = {Math.Max(1, (int)patience.TotalMilliseconds)}"), cancellationToken);
            await ExecuteAsync(opened, FormattableString.Invariant($"SELECT pg_advisory_xact_lock({Number})"), cancellationToken);
            return new ServerLock(opened);
        }
        catch (PostgresException exception) when (exception.SqlState == PostgresErrorCodes.LockNotAvailable)
        {
            await opened.DisposeAsync();
            throw new TimeoutException("The lock is still taken.", exception);
        }
        catch
        {
            await opened.DisposeAsync();
            throw;
        }
    }

    // Closing ends the transaction, and that gives the lock back.
    public ValueTask DisposeAsync() => _connection.DisposeAsync();

    private static async Task<NpgsqlConnection> OpenAsync(StorageContext context, string connection, CancellationToken cancellationToken)
    {
        // Not pooled: the connection is closed for good, and no limit of a pool makes it wait.
        string unpooled = new NpgsqlConnectionStringBuilder(connection) { Pooling = false, CommandTimeout = 0 }.ToString();
        try
        {
            return await OpenedAsync(unpooled, cancellationToken);
        }
        catch (PostgresException exception) when (exception.SqlState == PostgresErrorCodes.InvalidCatalogName)
        {
            await CreateAsync(context, cancellationToken);
            return await OpenedAsync(unpooled, cancellationToken);
        }
    }

    private static async Task<NpgsqlConnection> OpenedAsync(string connection, CancellationToken cancellationToken)
    {
        var opened = new NpgsqlConnection(connection);
        try
        {
            await opened.OpenAsync(cancellationToken);
            return opened;
        }
        catch
        {
            await opened.DisposeAsync();
            throw;
        }
    }

    private static async Task CreateAsync(StorageContext context, CancellationToken cancellationToken)
    {
        try
        {
            await context.GetService<IRelationalDatabaseCreator>().CreateAsync(cancellationToken);
        }
        // Another process made it first: either the server saw so at once, or its own list of databases took one only.
        catch (PostgresException exception) when (exception.SqlState is PostgresErrorCodes.DuplicateDatabase or PostgresErrorCodes.UniqueViolation)
        {
        }
    }

    private static async Task ExecuteAsync(NpgsqlConnection connection, string sql, CancellationToken cancellationToken)
    {
        await using var command = new NpgsqlCommand(sql, connection);
        await command.ExecuteNonQueryAsync(cancellationToken);
    }
}
