using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Web.Components.Charts;

/// <summary>Where runs are simulated: the chosen machine's workers, or so many as are asked for.</summary>
/// <param name="Pool">The workers.</param>
/// <param name="Name">What it is called in a sentence, such as "Heron-16" or "16 workers".</param>
/// <param name="Speed">Core speed, times that of the cores the job is described for; above 0.</param>
public sealed record SimulatedPlace(WorkerPool Pool, string Name, double Speed)
{
    private const int Usual = 16;

    /// <summary>What it is called with its workers.</summary>
    public string Full => Name.EndsWith("workers", StringComparison.Ordinal) || Name.EndsWith("worker", StringComparison.Ordinal)
        ? Name
        : $"{Name}, {Workers(Pool.Workers)}" + (Pool.WorkerSpeed < 1 ? $" at {Figures.Percent(Pool.WorkerSpeed)} of a core each" : "");

    /// <summary>The place to look at.</summary>
    /// <param name="workers">Workers asked for; null for the chosen machine's.</param>
    /// <param name="result">The last answer; null before the first.</param>
    public static SimulatedPlace Of(int? workers, PlanResult? result)
    {
        if (workers is null && result?.Verdict.Choice is { Machine: { } machine } choice)
            return On(machine, choice.EffectiveCores, result.Plan.MeasuredOn.RelativeCoreSpeed);
        int count = workers ?? Usual;
        return new(new WorkerPool(count), Workers(count), 1);
    }

    /// <summary>The place that is simulated; while that is still another one than the answer asks for, by its workers.</summary>
    /// <param name="pool">The pool simulated.</param>
    /// <param name="workers">Workers asked for; null for the chosen machine's.</param>
    /// <param name="result">The last answer; null before the first.</param>
    public static SimulatedPlace Of(WorkerPool pool, int? workers, PlanResult? result) =>
        Of(workers, result) is var asked && asked.Pool == pool ? asked : new(pool, Workers(pool.Workers), 1);

    private static SimulatedPlace On(MachineType machine, double effectiveCores, double measuredOn)
    {
        int workers = Math.Clamp(machine.HardwareThreads, 1, RunPicture.MostWorkers);
        return new(new WorkerPool(workers, Math.Min(1, effectiveCores / workers)), machine.Name, machine.RelativeCoreSpeed / measuredOn);
    }

    private static string Workers(int count) => $"{Figures.Count(count)} {(count == 1 ? "worker" : "workers")}";
}
