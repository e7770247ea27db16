using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>The charts of a run's cost before there is one.</summary>
internal static class UnpricedMachines
{
    /// <param name="name">The chart's name.</param>
    /// <param name="height">Its height, pixels.</param>
    /// <param name="along">What will run along its horizontal axis.</param>
    /// <param name="message">What is missing.</param>
    public static ChartModel Chart(string name, int height, string along, ChartMessage message) => new()
    {
        Name = name,
        Title = "No machine to compare yet",
        Subtitle = "Axes dotted: nothing is priced yet",
        TextAlternative = $"No chart. {message.Text} {message.Then}",
        X = new() { Title = along, Scale = AxisScale.Linear, Low = 0, High = 1, Ticks = [] },
        Y = new() { Title = "cost of a run", Scale = AxisScale.Linear, Low = 0, High = 1, Ticks = [] },
        Height = height,
        Table = new([], []),
        Message = message,
    };

    /// <summary>What is missing from a result none of whose machines can be drawn; from no result where null.</summary>
    public static ChartMessage Missing(PlanResult? result) => result switch
    {
        null => new("No run time to price yet.", "Machines are compared once the job is described."),
        { Machines.IsEmpty: true } => new("No machine to price.", "Add one to the catalogue."),
        _ => new("No machine has the memory this job needs.", "Add a larger one to the catalogue, or correct the memory needed."),
    };
}
