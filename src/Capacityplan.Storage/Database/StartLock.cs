namespace Capacityplan.Storage.Database;

/// <summary>
/// Lets one process at a time prepare a data directory. The operating system gives the lock back when a process ends in
/// whatever way, which a mark left inside the database does not.
/// </summary>
internal sealed class StartLock : IDisposable
{
    private static readonly TimeSpan s_betweenTries = TimeSpan.FromMilliseconds(50);

    private readonly FileStream _file;

    private StartLock(FileStream file) => _file = file;

    /// <summary>Takes the lock of a folder, waiting for another process that has it.</summary>
    /// <param name="directory">The folder; it exists.</param>
    /// <param name="patience">How long to wait.</param>
    /// <param name="cancellationToken">Ends the wait.</param>
    /// <exception cref="TimeoutException">Still taken.</exception>
    /// <exception cref="IOException">The file cannot be made.</exception>
    public static async Task<StartLock> TakeAsync(string directory, TimeSpan patience, CancellationToken cancellationToken)
    {
        string path = Path.Combine(directory, "start.lock");
        long started = Environment.TickCount64;
        while (true)
        {
            try
            {
                return new StartLock(new FileStream(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None));
            }
            catch (IOException exception) when (IsTaken(exception))
            {
                if (Environment.TickCount64 - started >= patience.TotalMilliseconds)
                    throw new TimeoutException($"{path} is still taken.", exception);
                await Task.Delay(s_betweenTries, cancellationToken);
            }
        }
    }

    /// <summary>EWOULDBLOCK of Linux and of macOS, and the sharing violation of Windows; they have no exception of their own.</summary>
    private static bool IsTaken(IOException exception) => exception.HResult is 11 or 35 or unchecked((int)0x80070020);

    // The empty file stays: deleting it would let a third process make a new one while a second still holds the old.
    public void Dispose() => _file.Dispose();
}
