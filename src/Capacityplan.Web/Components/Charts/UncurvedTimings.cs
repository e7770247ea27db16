using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>Timings through which no curve is drawn: the points, their axes, and what to say.</summary>
internal sealed class UncurvedTimings
{
    public UncurvedTimings(IReadOnlyCollection<Timing> timings, ChartMessage? problem)
    {
        Runs = timings.OrderBy(timing => timing.Cores).Select(timing => new ChartPoint(timing.Cores, timing.Seconds)).ToValueList();
        Message = problem ?? Runs.Select(run => run.X).Distinct().Count() switch
        {
            0 => new("Nothing to draw yet.", "Two timings are enough for a first curve."),
            1 when Runs[0].X >= 4 => new("One timing is a point, not a curve.", "Add a run on fewer cores.", KeepsPoints: true),
            1 => new("One timing is a point, not a curve.", "Add a run on 4 cores or more.", KeepsPoints: true),
            _ => new("No curve is drawn through these timings.", "They are kept as they are.", KeepsPoints: true),
        };
    }

    public ValueList<ChartPoint> Runs { get; }

    public ChartMessage Message { get; }

    public ChartAxis CoreAxis
    {
        get
        {
            double high = Math.Max(8, 2 * Runs.Select(run => run.X).DefaultIfEmpty(1).Max());
            return new()
            {
                Title = "cores",
                Scale = AxisScale.Logarithmic,
                Low = 1,
                High = high,
                Ticks = Runs.Count > 0 ? AxisTicks.PowersOfTwo(1, high) : [],
            };
        }
    }

    public ChartAxis TimeAxis
    {
        get
        {
            double low = Runs.Select(run => run.Y).DefaultIfEmpty(60).Min() / 4;
            double high = Runs.Select(run => run.Y).DefaultIfEmpty(3600).Max() * 1.5;
            return new()
            {
                Title = "run time",
                Scale = AxisScale.Logarithmic,
                Low = low,
                High = high,
                Ticks = Runs.Count > 0 ? AxisTicks.Times(low, high) : [],
            };
        }
    }

    public ChartTable Table => new(
        ["cores", "run time"],
        Runs.Select(run => new TableRow([Figures.Count(run.X), Figures.Time(run.Y)])).ToValueList());
}
