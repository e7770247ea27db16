using Capacityplan.Web.Serving;
using Microsoft.Extensions.Configuration;

namespace Capacityplan.Web.Tests.Serving;

public sealed class DataDirectoryTests : IDisposable
{
    private readonly DirectoryInfo _scratch = Directory.CreateTempSubdirectory("capacityplan-tests-");

    [Fact]
    public void From_AConfiguredFolder_MakesIt()
    {
        string wanted = Path.Combine(_scratch.FullName, "plans", "of", "mine");

        DataDirectory data = DataDirectory.From(Configured(wanted));

        Assert.Equal(wanted, data.Path);
        Assert.True(Directory.Exists(wanted));
    }

    [Fact]
    public void PrivateSubdirectory_OfADataDirectory_IsItsUsersAlone()
    {
        DirectoryInfo keys = DataDirectory.From(Configured(_scratch.FullName)).PrivateSubdirectory("keys");

        Assert.Equal(Path.Combine(_scratch.FullName, "keys"), keys.FullName);
        Assert.True(keys.Exists);
        if (!OperatingSystem.IsWindows())
            Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute, keys.UnixFileMode);
    }

    [Fact]
    public void From_ARelativeFolder_IsGivenInFull() =>
        Assert.Equal(
            _scratch.FullName,
            DataDirectory.From(Configured(Path.GetRelativePath(Environment.CurrentDirectory, _scratch.FullName))).Path);

    public void Dispose() => _scratch.Delete(recursive: true);

    private static IConfiguration Configured(string folder) =>
        new ConfigurationBuilder().AddInMemoryCollection([new("Capacityplan:DataDirectory", folder)]).Build();
}
