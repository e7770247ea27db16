using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Options;

namespace Capacityplan.Storage.Tests;

public sealed class StorageOptionsTests
{
    [Fact]
    public void Read_NothingConfigured_TakesAFolderUnderLocalApplicationData()
    {
        string home = Path.GetTempPath();

        StorageOptions options = Read(home);

        Assert.Equal(Path.Combine(home, "Capacityplan"), options.DataDirectory);
        Assert.Null(options.Database);
        Assert.True(new StorageOptionsValidator().Validate(null, options).Succeeded);
        Assert.Equal($"the file {Path.Combine(home, "Capacityplan", "capacityplan.db")}", options.Describe());
    }

    [Fact]
    public void Read_ARelativeFolder_IsMadeAFullPath()
    {
        StorageOptions options = Read("", (StorageOptions.DataDirectoryKey, "data"));

        Assert.Equal(Path.Combine(Environment.CurrentDirectory, "data"), options.DataDirectory);
    }

    [Fact]
    public void Read_BlankValues_CountAsNotConfigured()
    {
        StorageOptions options = Read("", (StorageOptions.DataDirectoryKey, " "), (StorageOptions.DatabaseKey, ""));

        Assert.Equal((null, null), (options.DataDirectory, options.Database));
    }

    [Fact]
    public void Validate_NoFolderAndNoHome_SaysWhatToSet()
    {
        ValidateOptionsResult result = new StorageOptionsValidator().Validate(null, Read(""));

        Assert.Contains("Capacityplan__DataDirectory", result.FailureMessage, StringComparison.Ordinal);
    }

    [Fact]
    public void Validate_AServer_NeedsNoFolder()
    {
        StorageOptions options = Read("", (StorageOptions.DatabaseKey, "Host=db;Database=plans;Username=u;Password=secret"));

        Assert.True(new StorageOptionsValidator().Validate(null, options).Succeeded);
        Assert.Equal("the PostgreSQL database 'plans' on db, port 5432", options.Describe());
    }

    [Theory]
    [InlineData("postgres://u:secret@db/plans?sslmode=require")]
    [InlineData("Host=db;Port=secret")]
    [InlineData("Database=plans;Password=secret")]
    [InlineData("secret")]
    public void Validate_NoConnectionString_SaysSoWithoutRepeatingIt(string database)
    {
        ValidateOptionsResult result = new StorageOptionsValidator().Validate(null, Read("", (StorageOptions.DatabaseKey, database)));

        Assert.Contains(StorageOptions.DatabaseKey, result.FailureMessage, StringComparison.Ordinal);
        Assert.DoesNotContain("secret", result.FailureMessage, StringComparison.Ordinal);
    }

    [Fact]
    public void Registration_WhatIsConfiguredAfterIt_StillCounts()
    {
        var configuration = new ConfigurationManager();
        using ServiceProvider services = new ServiceCollection().AddLogging().AddCapacityplanStorage(configuration).BuildServiceProvider();
        string later = Path.GetTempPath();

        configuration[StorageOptions.DataDirectoryKey] = later;

        Assert.Equal(later, services.GetRequiredService<IOptions<StorageOptions>>().Value.DataDirectory);
    }

    private static StorageOptions Read(string localApplicationData, params (string Key, string? Value)[] configured)
    {
        var options = new StorageOptions();
        options.Read(
            new ConfigurationBuilder().AddInMemoryCollection(configured.ToDictionary(one => one.Key, one => one.Value)).Build(),
            localApplicationData);
        return options;
    }
}
