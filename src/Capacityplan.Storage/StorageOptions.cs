using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.Options;
using Npgsql;

namespace Capacityplan.Storage;

/// <summary>Where plans and catalogues are kept; read from the configuration section "Capacityplan".</summary>
public sealed class StorageOptions
{
    /// <summary>Configuration key of <see cref="DataDirectory"/>.</summary>
    public const string DataDirectoryKey = "Capacityplan:DataDirectory";

    /// <summary>Configuration key of <see cref="Database"/>.</summary>
    public const string DatabaseKey = "Capacityplan:Database";

    /// <summary>
    /// Full path of the folder that holds the database file, and whatever else must survive a restart. Where none is
    /// configured: "Capacityplan" under the user's local application data. Null only where that cannot be told either,
    /// which is an error unless <see cref="Database"/> is given.
    /// </summary>
    public string? DataDirectory { get; set; }

    /// <summary>PostgreSQL connection string; null for the SQLite file in <see cref="DataDirectory"/>.</summary>
    public string? Database { get; set; }

    internal string DatabaseFile => Path.Combine(
        DataDirectory ?? throw new InvalidOperationException("There is no data directory; the options were not validated."),
        "capacityplan.db");

    /// <summary>What the plans are kept in, for a log line or a message: no password in it.</summary>
    public string Describe()
    {
        if (Database is null)
            return $"the file {DatabaseFile}";
        var connection = new NpgsqlConnectionStringBuilder(Database);
        return FormattableString.Invariant($"the PostgreSQL database '{connection.Database ?? connection.Username}' on {connection.Host}, port {connection.Port}");
    }

    /// <summary>Reads the options as the store itself does, for whatever else is kept in the data directory.</summary>
    public static StorageOptions From(IConfiguration configuration)
    {
        var options = new StorageOptions();
        options.Read(configuration, LocalApplicationData());
        return options;
    }

    internal void Read(IConfiguration configuration, string localApplicationData)
    {
        Database = NullIfBlank(configuration[DatabaseKey]);
        string? folder = NullIfBlank(configuration[DataDirectoryKey]);
        if (folder is null && localApplicationData.Length > 0)
            folder = Path.Combine(localApplicationData, "Capacityplan");
        DataDirectory = folder is null ? null : Path.GetFullPath(folder);
    }

    /// <summary>The user's folder for local application data, whether it exists yet or not; empty where the system knows none.</summary>
    internal static string LocalApplicationData() =>
        Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData, Environment.SpecialFolderOption.DoNotVerify);

    private static string? NullIfBlank(string? text) => string.IsNullOrWhiteSpace(text) ? null : text;
}

/// <summary>Checks the options once, all of them, before the first request.</summary>
internal sealed class StorageOptionsValidator : IValidateOptions<StorageOptions>
{
    public ValidateOptionsResult Validate(string? name, StorageOptions options)
    {
        if (options.Database is null)
        {
            return options.DataDirectory is null
                ? ValidateOptionsResult.Fail(
                    $"There is no folder to keep plans in: this user has no home directory. Set {StorageOptions.DataDirectoryKey} " +
                    "(environment variable Capacityplan__DataDirectory) to a folder this user may write to.")
                : ValidateOptionsResult.Success;
        }

        return NamesServer(options.Database)
            ? ValidateOptionsResult.Success
            : ValidateOptionsResult.Fail(
                $"{StorageOptions.DatabaseKey} is not a PostgreSQL connection string. It has the form " +
                "Host=...;Port=5432;Database=...;Username=...;Password=... - or leave it out to keep plans in a file.");
    }

    /// <summary>The parser's own message is not passed on: it may repeat a part of the text, and with it a password.</summary>
    private static bool NamesServer(string connection)
    {
        try
        {
            return !string.IsNullOrWhiteSpace(new NpgsqlConnectionStringBuilder(connection).Host);
        }
        catch (Exception exception) when (exception is ArgumentException or FormatException or InvalidCastException)
        {
            return false;
        }
    }
}
