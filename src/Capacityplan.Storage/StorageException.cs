namespace Capacityplan.Storage;

/// <summary>
/// The store cannot be used as it is configured. The message says which path or database, and what to do; it is meant
/// for the person who starts the program and never holds a password.
/// </summary>
public sealed class StorageException : Exception
{
    public StorageException(string message)
        : base(message)
    {
    }

    public StorageException(string message, Exception inner)
        : base(message, inner)
    {
    }
}
