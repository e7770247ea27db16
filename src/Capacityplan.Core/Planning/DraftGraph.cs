using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Planning;

/// <summary>The task graph of a draft, read.</summary>
/// <param name="File">Key of the file it stands in; empty where it was pasted.</param>
/// <param name="Text">The paste it was read from; empty where it stands in a file.</param>
/// <param name="Reading">What was read.</param>
public sealed record DraftGraph(string File, string Text, TaskGraphReading Reading)
{
    /// <summary>True where a draft has this graph.</summary>
    /// <param name="draft">The draft.</param>
    public bool IsOf(PlanDraft draft) => File == draft.GraphFile && (File.Length > 0 || Text == draft.GraphText);
}
