using System.Diagnostics.CodeAnalysis;
using Capacityplan.Core.Planning;

namespace Capacityplan.Storage;

/// <summary>The answer a plan had when it was last worked out, for the list.</summary>
/// <param name="State">Its state.</param>
/// <param name="Sentence">The verdict's sentence.</param>
public sealed record StoredAnswer(VerdictState State, string Sentence);

/// <summary>A plan as it is stored.</summary>
public sealed record StoredPlan
{
    /// <summary>Its key.</summary>
    public required Guid Id { get; init; }

    /// <summary>Its name, known even where the draft cannot be read; may be empty.</summary>
    public required string Name { get; init; }

    /// <summary>Its owner, known even where the draft cannot be read; may be empty.</summary>
    public required string Owner { get; init; }

    /// <summary>What its owner typed; null where the stored text cannot be read.</summary>
    public required PlanDraft? Draft { get; init; }

    /// <summary>The stored text and why it cannot be read; null where it can.</summary>
    public required Unreadable? Unreadable { get; init; }

    /// <summary>Version, from 1; every save of the draft makes it one larger.</summary>
    public required int Version { get; init; }

    /// <summary>When the draft was last saved, UTC.</summary>
    public required DateTimeOffset UpdatedAt { get; init; }

    /// <summary>The answer to this version of the draft; null where none was recorded.</summary>
    public required StoredAnswer? LastAnswer { get; init; }

    /// <summary>True where the draft can be read.</summary>
    [MemberNotNullWhen(true, nameof(Draft))]
    [MemberNotNullWhen(false, nameof(Unreadable))]
    public bool IsReadable => Draft is not null;
}
