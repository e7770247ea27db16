using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>What a month costs against how often the job runs, for the ways to pay that compete: where their lines cross.</summary>
public static class BreakEvenChart
{
    private const int Height = 300;

    /// <summary>More lines than this cannot be told apart.</summary>
    private const int MostLines = 5;

    /// <summary>A crossing at more than so many times the planned runs needs logarithmic axes.</summary>
    private const double WidestLinear = 6;

    private const int Steps = 60;

    /// <summary>Maps a result to the chart.</summary>
    /// <param name="result">The plan's result.</param>
    /// <returns>Null where there is nothing to compare.</returns>
    public static ChartModel? Build(PlanResult result)
    {
        if (result.Verdict.Choice is not { } choice || result.BreakEvens is not { Pairs.IsEmpty: false } even)
            return null;
        MachineOutcome[] drawn = [.. even.Pairs.SelectMany(pair => new[] { pair.One, pair.Other }).Distinct().OrderBy(outcome => outcome != choice).ThenBy(outcome => outcome.CostPerMonth).Take(MostLines)];
        BreakEven[] crossings =
        [
            .. even.Pairs.Where(pair => pair.RunsPerMonth is not null && drawn.Contains(pair.One) && drawn.Contains(pair.Other)
                && CheapestAt(drawn, pair.RunsPerMonth.Value, pair)),
        ];
        double planned = result.Plan.RunsPerMonth;
        double[] meetings = [.. crossings.Select(pair => (double)pair.RunsPerMonth!.Value)];
        // Far apart from what is planned, the crossing and the plan share one picture on logarithmic axes only.
        bool isLogarithmic = meetings.Any(runs => runs > WidestLinear * planned);
        double start = isLogarithmic ? Math.Min(planned, meetings.Min()) / 3 : 0;
        double end = meetings.Select(runs => runs * (isLogarithmic ? 3 : 1.35)).Append(planned * 2).Max();
        double[] costs = [.. drawn.SelectMany(outcome => new[] { CostAt(outcome, start), CostAt(outcome, end) }).Where(cost => cost > 0)];
        if (costs.Length == 0)
            return null;
        double low = isLogarithmic ? costs.Min() / 1.3 : 0, top = costs.Max() * (isLogarithmic ? 1.3 : 1.06);
        AxisScale scale = isLogarithmic ? AxisScale.Logarithmic : AxisScale.Linear;
        var y = new ChartAxis
        {
            Title = "cost of a month",
            Scale = scale,
            Low = low,
            High = top,
            Ticks = isLogarithmic ? AxisTicks.Money(low, top, choice.Currency) : AxisTicks.EvenMoney(0, top, choice.Currency),
        };
        var x = new ChartAxis
        {
            Title = "runs a month",
            Scale = scale,
            Low = start,
            High = end,
            Ticks = isLogarithmic ? AxisTicks.Counts(start, end) : AxisTicks.FromZero(end),
        };
        double[] at = [.. Enumerable.Range(0, Steps + 1).Select(step => x.At((double)step / Steps))];
        return new ChartModel
        {
            Name = "break-even",
            Title = (even.Sentence ?? $"{choice.Name} is the cheapest way to pay").TrimEnd('.'),
            Subtitle = $"Cost of a month against runs a month, at today's run time. Where two lines cross, both cost the same.{(isLogarithmic ? " Both axes logarithmic." : "")}",
            TextAlternative = $"Cost of a month against runs a month, a line for each way to pay. {even.Sentence}",
            X = x,
            Y = y,
            Height = Height,
            Lines = drawn.Select(outcome => new ChartLine(outcome == choice ? LineRole.Median : LineRole.Family, at.Select(runs => new ChartPoint(runs, CostAt(outcome, runs))).Where(point => point.Y > 0 || !isLogarithmic).ToValueList()) { Label = Label(outcome, choice) }).ToValueList(),
            Uprights = [new(planned, $"{Figures.Count(Math.Round(planned, 1))} runs planned", true)],
            Measured = crossings.Where(pair => (double)pair.RunsPerMonth!.Value < end).Select(pair => new ChartPoint((double)pair.RunsPerMonth!.Value, CostAt(pair.One, (double)pair.RunsPerMonth.Value))).ToValueList(),
            Readouts = drawn.SelectMany(outcome => new[] { planned, end }.Select(runs => new Readout(runs, CostAt(outcome, runs), $"{outcome.Name}: {Money(outcome, runs)} a month with {Figures.Count(Math.Round(runs))} runs")))
                .Concat(crossings.Select(pair => new Readout((double)pair.RunsPerMonth!.Value, CostAt(pair.One, (double)pair.RunsPerMonth.Value), pair.Sentence(planned))))
                .OrderBy(readout => readout.X).ToValueList(),
            Table = new(
                ["way to pay", "whatever runs", "each run adds", $"a month with {Figures.Count(Math.Round(planned, 1))} runs"],
                drawn.Select(outcome => new TableRow(
                [
                    outcome.Name, Figures.MoneyOfMonth(outcome.FixedCostPerMonth, outcome.Currency), Figures.MoneyOfRun(outcome.CostOfOneMoreRun, outcome.Currency),
                    Figures.MoneyOfMonth(outcome.CostPerMonth, outcome.Currency),
                ], outcome == choice)).ToValueList()),
        };
    }

    /// <summary>A crossing above a third, cheaper line decides nothing and is not marked.</summary>
    private static bool CheapestAt(MachineOutcome[] drawn, decimal runs, BreakEven pair)
    {
        decimal there = BreakEven.CostAt(pair.One, runs);
        return drawn.All(outcome => outcome == pair.One || outcome == pair.Other || BreakEven.CostAt(outcome, runs) >= there);
    }

    private static double CostAt(MachineOutcome outcome, double runs) => (double)BreakEven.CostAt(outcome, (decimal)runs);

    private static string Money(MachineOutcome outcome, double runs) => Figures.MoneyOfMonth(BreakEven.CostAt(outcome, (decimal)runs), outcome.Currency);

    private static string Label(MachineOutcome outcome, MachineOutcome choice) =>
        outcome.Machine == choice.Machine ? PurchaseWords.Of(outcome.Purchase) : outcome.Name;
}
