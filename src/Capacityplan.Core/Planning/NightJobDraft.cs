namespace Capacityplan.Core.Planning;

/// <summary>Another job of the night as it is kept: a reference to a saved plan, whose description it follows.</summary>
public sealed record NightJobDraft
{
    /// <summary>Stands for the plan's own job in <see cref="After"/>.</summary>
    public const string Own = "own";

    /// <summary>The plan's key.</summary>
    public string Plan { get; init; } = "";

    /// <summary>What that plan was called when it was picked: says which one it was where it is gone.</summary>
    public string Name { get; init; } = "";

    /// <summary>The jobs it waits for, with a space between: <see cref="Own"/>, or keys of the night's other plans.</summary>
    public string After { get; init; } = "";
}
