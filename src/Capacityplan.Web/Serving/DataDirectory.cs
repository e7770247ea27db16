namespace Capacityplan.Web.Serving;

/// <summary>The folder everything the program keeps on disk is in: the embedded database and the keys that protect
/// what it hands to browsers. <c>Capacityplan:DataDirectory</c> names it.</summary>
public sealed class DataDirectory
{
    private DataDirectory(string path) => Path = path;

    /// <summary>The folder's full path. It exists.</summary>
    public string Path { get; }

    /// <summary>Reads the configured folder and makes it if need be; without a setting it is <c>Capacityplan</c> in the
    /// user's local application data.</summary>
    /// <exception cref="InvalidOperationException">No folder is configured and the user has no home to put one in.</exception>
    public static DataDirectory From(IConfiguration configuration)
    {
        string? configured = configuration["Capacityplan:DataDirectory"];
        if (!string.IsNullOrWhiteSpace(configured))
            return Open(configured);

        string local = Environment.GetFolderPath(
            Environment.SpecialFolder.LocalApplicationData, Environment.SpecialFolderOption.DoNotVerify);
        if (local.Length == 0)
        {
            throw new InvalidOperationException(
                "There is no home folder to keep plans in. Name one: Capacityplan__DataDirectory=/a/folder.");
        }

        return Open(System.IO.Path.Combine(local, "Capacityplan"));
    }

    /// <summary>A folder inside this one that only the program's own user may look into, made if need be.</summary>
    public DirectoryInfo PrivateSubdirectory(string name)
    {
        string path = System.IO.Path.Combine(Path, name);
        return OperatingSystem.IsWindows()
            ? Directory.CreateDirectory(path)
            : Directory.CreateDirectory(path, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
    }

    private static DataDirectory Open(string path) => new(Directory.CreateDirectory(path).FullName);
}
