using Capacityplan.Storage.Database;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;
using Npgsql;

namespace Capacityplan.Storage;

/// <summary>Makes the store ready: folder, database, tables of this version, and the demo on the first start.</summary>
public sealed partial class StorageStartup
{
    private readonly IOptions<StorageOptions> _options;
    private readonly IDbContextFactory<StorageContext> _contexts;
    private readonly TimeProvider _clock;
    private readonly ILogger<StorageStartup> _log;

    internal StorageStartup(
        IOptions<StorageOptions> options, IDbContextFactory<StorageContext> contexts, TimeProvider clock, ILogger<StorageStartup> log)
    {
        _options = options;
        _contexts = contexts;
        _clock = clock;
        _log = log;
    }

    /// <summary>How long to wait for another process that is preparing the same data directory or database.</summary>
    internal TimeSpan Patience { get; init; } = TimeSpan.FromSeconds(30);

    /// <summary>
    /// Prepares the store; to be awaited once before anything else uses it. Running it again, or in two processes at
    /// once, does no harm.
    /// </summary>
    /// <param name="demo">Stored if neither a plan nor a catalogue was ever stored; null for none.</param>
    /// <param name="cancellationToken">Ends the wait for a database.</param>
    /// <exception cref="StorageException">The store cannot be used as configured; the message says what to do.</exception>
    public async Task PrepareAsync(DemoData? demo = null, CancellationToken cancellationToken = default)
    {
        StorageOptions options = Validated();
        if (options.Database is null)
            await PrepareFileAsync(options, demo, cancellationToken);
        else
            await PrepareServerAsync(options, demo, cancellationToken);
        string place = options.Describe();
        LogReady(place);
    }

    private StorageOptions Validated()
    {
        try
        {
            return _options.Value;
        }
        catch (OptionsValidationException exception)
        {
            throw new StorageException(string.Join(' ', exception.Failures), exception);
        }
    }

    private async Task PrepareFileAsync(StorageOptions options, DemoData? demo, CancellationToken cancellationToken)
    {
        string directory = options.DataDirectory!;
        try
        {
            Directory.CreateDirectory(directory);
            using StartLock startLock = await StartLock.TakeAsync(directory, Patience, cancellationToken);
            await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
            await RefuseForeignFileAsync(context, options.DatabaseFile, cancellationToken);
            await UpgradeAsync(context, options, cancellationToken);
            // Readers then never wait for a writer. The file remembers it; one made by hand may not have it.
            await context.Database.ExecuteSqlAsync($"PRAGMA journal_mode = WAL", cancellationToken);
            await SettleAsync(context, demo, cancellationToken);
        }
        catch (Exception exception) when (exception is IOException or UnauthorizedAccessException)
        {
            throw new StorageException(
                $"The data directory {directory} cannot be used: {exception.Message} Make it a folder this user may write to, " +
                $"or set {StorageOptions.DataDirectoryKey} to another one.",
                exception);
        }
        catch (TimeoutException exception)
        {
            throw new StorageException(
                FormattableString.Invariant($"Another Capacityplan has been preparing the data directory {directory} for {Patience.TotalSeconds:0} s. ") +
                "Let it finish, or end it, and start again.",
                exception);
        }
        catch (Exception exception) when ((exception as SqliteException ?? exception.InnerException as SqliteException) is { } cause)
        {
            throw new StorageException(MessageFor(cause, options.DatabaseFile), exception);
        }
    }

    private async Task PrepareServerAsync(StorageOptions options, DemoData? demo, CancellationToken cancellationToken)
    {
        try
        {
            await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
            await using ServerLock startLock = await ServerLock.TakeAsync(context, options.Database!, Patience, cancellationToken);
            await UpgradeAsync(context, options, cancellationToken);
            await SettleAsync(context, demo, cancellationToken);
        }
        catch (TimeoutException exception) when (exception.InnerException is PostgresException)
        {
            throw new StorageException(
                FormattableString.Invariant($"Another Capacityplan has been preparing {options.Describe()} for {Patience.TotalSeconds:0} s. ") +
                "Let it finish, or end it, and start again.",
                exception);
        }
        // NpgsqlException: refused by the server, or no server. InvalidOperationException: EF's wrapping of a passing failure.
        catch (Exception exception) when (exception is NpgsqlException or InvalidOperationException { InnerException: NpgsqlException } or TimeoutException)
        {
            string reason = (exception.InnerException is NpgsqlException inner ? inner : exception).Message;
            throw new StorageException(
                $"Cannot prepare {options.Describe()}: {reason} Check that the server runs, that {StorageOptions.DatabaseKey} " +
                "names it rightly, and that its user may make tables there.",
                exception);
        }
    }

    /// <summary>Brings the tables to this version; refuses those of a later one.</summary>
    private static async Task UpgradeAsync(StorageContext context, StorageOptions options, CancellationToken cancellationToken)
    {
        HashSet<string> known = [.. context.Database.GetMigrations()];
        HashSet<string> applied = [.. await context.Database.GetAppliedMigrationsAsync(cancellationToken)];
        if (!applied.IsSubsetOf(known))
        {
            throw new StorageException(
                $"A later version of Capacityplan has already used {options.Describe()}; this one would damage it and leaves it " +
                $"as it is. Start that version, or set {(options.Database is null ? StorageOptions.DataDirectoryKey : StorageOptions.DatabaseKey)} " +
                "to another place.");
        }

        if (known.IsSubsetOf(applied))
            return;

        // A process stopped half way through an upgrade of a file leaves EF's mark behind, and every later start would
        // wait for it for ever. Whoever comes here holds the start lock, so a mark still there is such a one.
        if (options.Database is null)
            await context.Database.ExecuteSqlAsync($"DROP TABLE IF EXISTS \"__EFMigrationsLock\"", cancellationToken);
        await context.Database.MigrateAsync(cancellationToken);
    }

    /// <summary>Refuses a SQLite file that holds the tables of something else, before any of ours are added to it.</summary>
    private static async Task RefuseForeignFileAsync(StorageContext context, string file, CancellationToken cancellationToken)
    {
        if (!File.Exists(file))
            return;

        List<string> tables = await context.Database
            .SqlQuery<string>($"SELECT name AS \"Value\" FROM sqlite_master WHERE type = 'table'")
            .ToListAsync(cancellationToken);
        string[] foreign = [.. tables.Where(table => !table.StartsWith("sqlite_", StringComparison.Ordinal) && !table.StartsWith("__EF", StringComparison.Ordinal))];
        if (foreign.Length > 0 && !foreign.Contains("Plans"))
        {
            throw new StorageException(
                $"The file {file} is a database of something else: it holds the table {foreign[0]} and no plans. Move it away, " +
                $"or set {StorageOptions.DataDirectoryKey} to another folder.");
        }
    }

    /// <summary>Stores the demo where nothing was ever stored, and removes what was deleted long ago.</summary>
    private async Task SettleAsync(StorageContext context, DemoData? demo, CancellationToken cancellationToken)
    {
        DateTimeOffset now = _clock.GetUtcNow();
        await PlanStore.PurgeAsync(context, now, cancellationToken);
        await CatalogueRows.PurgeAsync(context, now, cancellationToken);
        if (demo is null || await context.Facts.AnyAsync(fact => fact.Key == FactRow.DemoSettled, cancellationToken))
            return;

        bool unused = !await context.Plans.AnyAsync(cancellationToken) && !await context.Catalogues.AnyAsync(cancellationToken);
        context.Facts.Add(new FactRow { Key = FactRow.DemoSettled, Value = unused ? "stored" : "passed by" });
        if (unused)
        {
            CatalogueRow catalogue = CatalogueRows.New(demo.Catalogue, now);
            catalogue.IsDefault = true;
            context.Catalogues.Add(catalogue);
            context.Plans.Add(PlanStore.NewRow(demo.Plan, answer: null, now));
        }

        await context.SaveChangesAsync(cancellationToken);
    }

    /// <summary>The numbers are SQLite's primary result codes, as its documentation lists them.</summary>
    private static string MessageFor(SqliteException exception, string file) => exception.SqliteErrorCode switch
    {
        26 => $"The file {file} is not a database. Move it away, and a new one is made at the next start; " +
            $"or set {StorageOptions.DataDirectoryKey} to another folder.",
        11 => $"The database file {file} is damaged ({exception.Message.TrimEnd('.')}). Put a copy of it back, " +
            $"or set {StorageOptions.DataDirectoryKey} to another folder.",
        13 => $"There is no room left on the disk for the database file {file}. Free some and start again.",
        5 or 6 => $"Another program holds the database file {file}. End it and start again.",
        3 or 8 or 10 or 14 => $"The database file {file} cannot be read and written ({exception.Message.TrimEnd('.')}). Let this user read and write it and its " +
            $"folder, or set {StorageOptions.DataDirectoryKey} to another folder.",
        _ => $"The database file {file} cannot be used: {exception.Message} Put it right, or set {StorageOptions.DataDirectoryKey} to another folder.",
    };

    [LoggerMessage(Level = LogLevel.Information, Message = "Plans are kept in {Place}.")]
    private partial void LogReady(string place);
}
