namespace Capacityplan.Storage;

/// <summary>How a save ended.</summary>
public enum SaveState
{
    /// <summary>Saved.</summary>
    Saved,

    /// <summary>Not saved: somebody else saved since the version this one started from.</summary>
    Conflict,

    /// <summary>Not saved: deleted meanwhile, or never there.</summary>
    Gone,
}

/// <summary>How a save ended, and what is stored now.</summary>
/// <param name="State">How it ended.</param>
/// <param name="Current">What is stored now: the saved one, or on a conflict what the other left; null where it is gone.</param>
public sealed record SaveResult<T>(SaveState State, T? Current)
    where T : class;
