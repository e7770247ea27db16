using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Planning;

/// <summary>The runs behind the outcomes of a result, worked out anew where they are asked for: one for a machine, and one for
/// each of its ways to pay that may be interrupted.</summary>
internal sealed class OfferRuns
{
    private readonly PlanResult _result;
    private readonly MachineRuns _runs;
    private readonly Dictionary<MachineType, MachineRun> _plain = new(ReferenceEqualityComparer.Instance);
    private readonly Dictionary<(MachineRun, Interruptions), MachineRun> _interrupted = [];
    private readonly Dictionary<Interruptions, InterruptedRuns> _simulations = [];

    /// <param name="result">What the plan comes to.</param>
    /// <param name="scaling">How its job scales, as the result was worked out with.</param>
    public OfferRuns(PlanResult result, ScalingForecast scaling) => (_result, _runs) = (result, new MachineRuns(result.Plan, scaling));

    /// <summary>The runs of an outcome; the same object for all that last alike.</summary>
    public MachineRun Of(MachineOutcome outcome)
    {
        if (!_plain.TryGetValue(outcome.Machine, out MachineRun? plain))
            _plain.Add(outcome.Machine, plain = _runs.On(outcome.Machine));
        if (Interruptions.Of(outcome.Purchase) is not { } interruptions)
            return plain;
        if (!_interrupted.TryGetValue((plain, interruptions), out MachineRun? run))
            _interrupted.Add((plain, interruptions), run = plain.Interrupted(SimulationOf(interruptions)));
        return run;
    }

    /// <summary>The simulation of some interruptions, the same for all machines.</summary>
    public InterruptedRuns SimulationOf(Interruptions interruptions)
    {
        if (!_simulations.TryGetValue(interruptions, out InterruptedRuns? runs))
            _simulations.Add(interruptions, runs = new InterruptedRuns(interruptions, _result.Seed));
        return runs;
    }
}
