using Capacityplan.Storage.Database;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;

namespace Capacityplan.Storage.Tests;

public sealed class MigrationsTests
{
    private const string Server = "Host=localhost;Username=nobody";

    [Theory]
    [InlineData(null, "INTEGER")]
    [InlineData(Server, "bigint")]
    public void Migrations_OfEachDatabase_MakeTheTablesAsTheyAreNow(string? database, string typeOfMoments)
    {
        using StorageContext context = Context(database);

        Assert.False(context.Database.HasPendingModelChanges(), "The rows changed: add a migration for each database (see DEVELOPERS.md).");
        Assert.Contains($"\"UpdatedAt\" {typeOfMoments}", context.Database.GenerateCreateScript(), StringComparison.Ordinal);
        Assert.NotEmpty(context.Database.GetMigrations());
    }

    [Fact]
    public void Migrations_OfTheTwoDatabases_AreAsMany() =>
        Assert.Equal(Names(Context(null)), Names(Context(Server)));

    private static StorageContext Context(string? database)
    {
        IOptions<StorageOptions> options = Options.Create(new StorageOptions { DataDirectory = "not opened", Database = database });
        return new StorageContextFactory(options).CreateDbContext();
    }

    /// <summary>The names without the moment each was made at.</summary>
    private static string[] Names(StorageContext context)
    {
        using (context)
            return [.. context.Database.GetMigrations().Select(migration => migration[(migration.IndexOf('_', StringComparison.Ordinal) + 1)..])];
    }
}
