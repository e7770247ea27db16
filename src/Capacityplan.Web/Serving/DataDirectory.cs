using Capacityplan.Storage;

namespace Capacityplan.Web.Serving;

/// <summary>The folder everything the program keeps on disk is in: the embedded database and the keys that protect
/// what it hands to browsers. <c>Capacityplan:DataDirectory</c> names it.</summary>
public sealed class DataDirectory
{
    private DataDirectory(string path) => Path = path;

    /// <summary>The folder's full path. It exists.</summary>
    public string Path { get; }

    /// <summary>The folder the store keeps its file in, made if need be.</summary>
    /// <exception cref="StorageException">There is none, or it cannot be made; the message says what to do.</exception>
    public static DataDirectory From(IConfiguration configuration)
    {
        string path = StorageOptions.From(configuration).DataDirectory ?? throw new StorageException(
            $"There is no home folder to keep the site's keys in. Set {StorageOptions.DataDirectoryKey} to a folder this user may write to.");
        try
        {
            return new DataDirectory(Directory.CreateDirectory(path).FullName);
        }
        catch (Exception exception) when (exception is IOException or UnauthorizedAccessException)
        {
            throw new StorageException(
                $"The data directory {path} cannot be made: {exception.Message} Set {StorageOptions.DataDirectoryKey} to a folder this user may write to.", exception);
        }
    }

    /// <summary>A folder inside this one that only the program's own user may look into, made if need be.</summary>
    public DirectoryInfo PrivateSubdirectory(string name)
    {
        string path = System.IO.Path.Combine(Path, name);
        return OperatingSystem.IsWindows()
            ? Directory.CreateDirectory(path)
            : Directory.CreateDirectory(path, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
    }
}
