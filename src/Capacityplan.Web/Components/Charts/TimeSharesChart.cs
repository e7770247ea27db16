using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Web.Components.Charts;

/// <summary>What the paid worker time goes into, against workers.</summary>
public static class TimeSharesChart
{
    private const int Height = 320;

    /// <summary>Maps simulated runs to the chart.</summary>
    /// <param name="curve">Simulated runs by workers, ascending; two or more.</param>
    /// <param name="detail">Those on the pool looked at.</param>
    /// <param name="place">That pool.</param>
    public static ChartModel Build(IReadOnlyList<SimulatedPool> curve, SimulatedPool detail, SimulatedPlace place)
    {
        TimeUse[] uses = [TimeUse.Work, TimeUse.Serial, TimeUse.Overhead, TimeUse.Stealing, TimeUse.Idle];
        TimeArea[] areas = [.. uses.Select((use, number) => new TimeArea(
            use,
            curve.Select(pool =>
            {
                // Work lies at the bottom; what it loses is read from above.
                double below = uses.Take(number).Sum(other => Share(pool.Shares, other));
                return new BandPoint(pool.Pool.Workers, 100 * below, 100 * (below + Share(pool.Shares, use)));
            }).ToValueList()))];
        double last = curve[^1].Pool.Workers;
        return new ChartModel
        {
            Name = "time-shares",
            Title = Title(detail.Shares, place),
            Subtitle = "Per cent of the time all workers are paid for, against workers (logarithmic), a core to each",
            TextAlternative = TextAlternative(curve),
            X = new()
            {
                Title = "workers",
                Scale = AxisScale.Logarithmic,
                Low = curve[0].Pool.Workers,
                High = last,
                Ticks = AxisTicks.PowersOfTwo(curve[0].Pool.Workers, last),
            },
            Y = new()
            {
                Title = "per cent",
                Scale = AxisScale.Linear,
                Low = 0,
                High = 100,
                Ticks = new double[] { 0, 20, 40, 60, 80, 100 }.Select(value => new ChartTick(value, Figures.Count(value))).ToValueList(),
            },
            Height = Height,
            Areas = areas.ToValueList(),
            Uprights = place.Pool.Workers > 1 && place.Pool.Workers < last ? [new(place.Pool.Workers, place.Name, IsKey: true)] : [],
            Readouts = curve.Select(pool => new Readout(pool.Pool.Workers, 100 * pool.Shares.Work, Words(pool))).ToValueList(),
            Key = [KeySign.WorkTime, KeySign.SerialTime, KeySign.OverheadTime, KeySign.StealingTime, KeySign.IdleTime],
            Table = Table(curve),
        };
    }

    private static string Title(TimeShares shares, SimulatedPlace place)
    {
        (string Words, double Share) most = Losses(shares).MaxBy(loss => loss.Share);
        string work = $"On {place.Name} {Figures.Percent(shares.Work)} of the time paid for is work";
        return most.Share < 0.005 ? work : $"{work}; {most.Words} take{(most.Words == "stealing" ? "s" : "")} most of the rest, {Figures.Percent(most.Share)}";
    }

    private static (string Words, double Share)[] Losses(TimeShares shares) =>
        [("serial phases", shares.Serial), ("forks and joins", shares.Overhead), ("stealing", shares.Stealing), ("idle workers", shares.Idle)];

    private static string Words(SimulatedPool pool)
    {
        TimeShares shares = pool.Shares;
        string lost = string.Join(", ", Losses(shares).Where(loss => loss.Share >= 0.0005).Select(loss => $"{loss.Words} {Figures.Percent(loss.Share)}"));
        return $"{ChartWords.Number(pool.Pool.Workers)} workers: work {Figures.Percent(shares.Work)}{(lost.Length > 0 ? ", " + lost : "")}; {Figures.Time(pool.MakespanSeconds.Mean)}";
    }

    private static string TextAlternative(IReadOnlyList<SimulatedPool> curve)
    {
        SimulatedPool first = curve[0], last = curve[^1];
        return $"Shares of worker time against workers, simulated: work is {Figures.Percent(first.Shares.Work)} on {ChartWords.Number(first.Pool.Workers)} and {Figures.Percent(last.Shares.Work)} on {ChartWords.Number(last.Pool.Workers)}, where serial phases take {Figures.Percent(last.Shares.Serial)} and idle workers {Figures.Percent(last.Shares.Idle)}.";
    }

    private static ChartTable Table(IReadOnlyList<SimulatedPool> curve) => new(
        ["workers", "run time", "9 runs in 10", "work", "serial", "forks and joins", "stealing", "idle", "steals"],
        curve.Select(pool => new TableRow(
        [
            Figures.Count(pool.Pool.Workers), Figures.Time(pool.MakespanSeconds.Mean),
            Figures.TimeRange(pool.MakespanSeconds.P05, pool.MakespanSeconds.P95), Figures.Percent(pool.Shares.Work), Figures.Percent(pool.Shares.Serial),
            Figures.Percent(pool.Shares.Overhead), Figures.Percent(pool.Shares.Stealing), Figures.Percent(pool.Shares.Idle),
            Figures.Count(Math.Round(pool.Steals.Mean)),
        ])).ToValueList());

    private static double Share(TimeShares shares, TimeUse use) => use switch
    {
        TimeUse.Work => shares.Work,
        TimeUse.Serial => shares.Serial,
        TimeUse.Overhead => shares.Overhead,
        TimeUse.Stealing => shares.Stealing,
        TimeUse.Idle => shares.Idle,
        _ => throw new ArgumentOutOfRangeException(nameof(use), use, "Not a share of the time."),
    };
}
