using Capacityplan.Core.Planning;
using Capacityplan.Storage;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>The demo, and what the calculation says to any change of it: the page must say the same.</summary>
internal static class DemoJob
{
    private static readonly DemoData s_demo = DemoData.Load();

    /// <summary>What the demo's owner typed.</summary>
    public static PlanDraft Draft => s_demo.Plan;

    /// <summary>Works a draft out with the demo's machines.</summary>
    public static PlanResult Answer(PlanDraft draft, double inputFactor = 1) =>
        Planner.Evaluate(
            (PlanDraftReader.Read(draft).Plan ?? throw new ArgumentException("The draft has no answer.", nameof(draft))) with { InputFactor = inputFactor },
            s_demo.Catalogue,
            new PlannerSettings { AdviseForChoice = true });

    /// <summary>What a draft that has no answer waits for.</summary>
    public static PlanDraftReading Reading(PlanDraft draft) => PlanDraftReader.Read(draft);
}
