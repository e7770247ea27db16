using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>A core speed the curve can be drawn at.</summary>
/// <param name="Relative">Relative to the core measured on; above 0.</param>
/// <param name="Name">Whose it is: a family of machines, a machine, or the one measured on.</param>
public sealed record CoreSpeed(double Relative, string Name)
{
    /// <summary>The speeds at hand, that of the machine measured on first.</summary>
    public static ValueList<CoreSpeed> Of(PlanResult result)
    {
        MeasuredOn measuredOn = result.Plan.MeasuredOn;
        CoreSpeed measured = new(1, measuredOn.Name.Length > 0 ? measuredOn.Name : "as measured");
        return result.Machines
            .Select(outcome => outcome.Machine)
            .GroupBy(machine => ScalingChartView.RelativeSpeed(machine, result.Plan))
            .Where(group => Math.Abs(group.Key - 1) > 1e-9)
            .Select(group => new CoreSpeed(group.Key, NameOf(group)))
            .Prepend(measured)
            .ToValueList();
    }

    private static string NameOf(IEnumerable<MachineType> machines) =>
        ChartWords.List(machines
            .Select(machine => MachineLabel.Of(machine.Name) is { Family.Length: > 0 } label ? label.Family : machine.Name)
            .Distinct()
            .ToArray());
}

/// <summary>What of a forecast the run time and the speedup chart show.</summary>
public sealed record ScalingChartView
{
    /// <summary>Speed of the cores the curve is drawn for, relative to the core measured on; above 0.</summary>
    public double CoreSpeed { get; init; } = 1;

    /// <summary>Amdahl's curve for the job's serial share: the same work, faster.</summary>
    public bool ShowAmdahl { get; init; }

    /// <summary>Gustafson's curve for it, on the speedup chart alone: more work in the same time.</summary>
    public bool ShowGustafson { get; init; }

    /// <summary>The view a plan opens with: at the core speed of its chosen machine.</summary>
    public static ScalingChartView For(PlanResult result) =>
        new() { CoreSpeed = result.Verdict.Choice is { } choice ? RelativeSpeed(choice.Machine, result.Plan) : 1 };

    /// <summary>A machine's core speed relative to the core measured on.</summary>
    public static double RelativeSpeed(MachineType machine, Plan plan) => machine.RelativeCoreSpeed / plan.MeasuredOn.RelativeCoreSpeed;

    /// <summary>True where a machine has cores of the speed drawn.</summary>
    internal bool Draws(MachineOutcome outcome, Plan plan) =>
        Math.Abs(RelativeSpeed(outcome.Machine, plan) - CoreSpeed) <= 1e-9 * CoreSpeed;
}
