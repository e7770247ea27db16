using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Web.Plans;

/// <summary>The cores a task graph's schedule is looked at on.</summary>
public static class GraphCores
{
    private const int Usual = 8;

    /// <summary>Those asked for, or as many as the chosen machine's are worth.</summary>
    /// <param name="reading">What is asked for.</param>
    /// <param name="result">The last answer; null before the first.</param>
    public static int Of(PlanDraftReading reading, PlanResult? result) => reading.GraphCores
        ?? (result?.Verdict.Choice is { } choice ? Math.Clamp((int)Math.Round(choice.EffectiveCores), 1, RunPicture.MostWorkers) : Usual);
}
