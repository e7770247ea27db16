using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;
using Capacityplan.Storage;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>The demo, and what the calculation says to any change of it: the page must say the same.</summary>
internal static class DemoJob
{
    private static readonly DemoData s_demo = DemoData.Load();
    private static readonly Lazy<JobStructure> s_structure = new(() => PlanDraftReader.Read(s_demo.Plan).Plan!.Structure!);
    private static readonly Lazy<IReadOnlyList<SimulatedPool>> s_simulated =
        new(() => StructureSimulation.Run(s_structure.Value, new PlannerSettings().Seed, Environment.ProcessorCount));

    /// <summary>What the demo's owner typed.</summary>
    public static PlanDraft Draft => s_demo.Plan;

    /// <summary>Works a draft out with the demo's machines, its phases simulated.</summary>
    public static PlanResult Answer(PlanDraft draft, double inputFactor = 1)
    {
        Plan plan = PlanDraftReader.Read(draft).Plan ?? throw new ArgumentException("The draft has no answer.", nameof(draft));
        ScalingForecast scaling = Planner.Scale(plan, simulated: plan.Structure is { } structure ? Simulated(structure) : null);
        return Planner.Evaluate(plan with { InputFactor = inputFactor }, s_demo.Catalogue, new PlannerSettings { AdviseForChoice = true }, scaling);
    }

    /// <summary>What a draft that has no answer waits for.</summary>
    public static PlanDraftReading Reading(PlanDraft draft) => PlanDraftReader.Read(draft);

    /// <summary>Every test that keeps the demo's phases shares their simulation.</summary>
    private static IReadOnlyList<SimulatedPool> Simulated(JobStructure structure) => structure.Phases.SequenceEqual(s_structure.Value.Phases)
        ? s_simulated.Value
        : StructureSimulation.Run(structure, new PlannerSettings().Seed, Environment.ProcessorCount);
}
