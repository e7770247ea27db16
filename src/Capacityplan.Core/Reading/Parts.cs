namespace Capacityplan.Core.Reading;

/// <summary>
/// The parts that something is made of, each read from a row of its own: all rows are read, so that everything wrong is told at once, and
/// only then is it known whether there is enough to make it.
/// </summary>
internal sealed class Parts
{
    /// <summary>True while every part could be read.</summary>
    public bool AreWhole { get; private set; } = true;

    /// <summary>Takes a part; one that could not be read is of no use, and makes the whole of none.</summary>
    public T Take<T>(T? part)
        where T : struct
    {
        AreWhole &= part is not null;
        return part.GetValueOrDefault();
    }

    /// <summary>Takes a part likewise; what could not be read stays null.</summary>
    public string? Take(string? part)
    {
        AreWhole &= part is not null;
        return part;
    }

    /// <summary>Takes note of a part that may be none: whether it could be read.</summary>
    public void Need(bool isRead) => AreWhole &= isRead;
}
