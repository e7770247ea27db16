namespace Capacityplan.Storage.Database;

/// <summary>
/// A plan's row. The draft is kept as text, not as a JSON type, so that a damaged one can still be shown. It alone holds what was
/// typed, to the letter: JSON escapes what a database would refuse. The texts beside it are for lists, and pass
/// <see cref="ColumnText.Clean"/>.
/// </summary>
internal sealed class PlanRow
{
    public required Guid Id { get; init; }

    public required string Name { get; set; }

    public required string Owner { get; set; }

    /// <summary>Name and owner in lower case, to search in: databases differ in how they fold case.</summary>
    public required string SearchText { get; set; }

    public required string Draft { get; set; }

    /// <summary>Key of the file the draft refers to; null where it refers to none, or to what can be no file.</summary>
    public string? GraphFile { get; set; }

    public required int Version { get; set; }

    public required DateTimeOffset UpdatedAt { get; set; }

    public string? AnswerState { get; set; }

    public string? AnswerSentence { get; set; }

    /// <summary>When it was deleted; null while it is not. A deleted row can be restored until it is purged.</summary>
    public DateTimeOffset? DeletedAt { get; set; }
}

/// <summary>A catalogue's row.</summary>
internal sealed class CatalogueRow
{
    public required Guid Id { get; init; }

    public required string Name { get; set; }

    public required string Document { get; set; }

    /// <summary>What its owner typed, where the document does not say it all; null where it does.</summary>
    public string? Draft { get; set; }

    public required int Version { get; set; }

    public required DateTimeOffset UpdatedAt { get; set; }

    /// <summary>True for the one chosen as default; at most one row has it.</summary>
    public bool IsDefault { get; set; }

    /// <summary>When it was deleted; null while it is not.</summary>
    public DateTimeOffset? DeletedAt { get; set; }
}

/// <summary>A file that plans refer to, under a key of its content.</summary>
internal sealed class JobFileRow
{
    public required string Key { get; init; }

    /// <summary>The content, compressed (gzip).</summary>
    public required byte[] Content { get; init; }

    /// <summary>Bytes before compression.</summary>
    public required long Length { get; init; }

    /// <summary>Since when no plan, deleted or not, refers to it; null while one does, and until that is looked at.</summary>
    public DateTimeOffset? UnusedSince { get; set; }
}

/// <summary>A fact about the store as a whole.</summary>
internal sealed class FactRow
{
    /// <summary>There once the demo was handed in or passed by; it is never handed in again.</summary>
    public const string DemoSettled = "demo-settled";

    public required string Key { get; init; }

    public required string Value { get; init; }
}
