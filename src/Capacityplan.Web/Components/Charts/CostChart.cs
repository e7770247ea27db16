using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>Cost of a run against time from start to finish.</summary>
public static class CostChart
{
    private const int Height = 372;

    /// <summary>Times further apart than this need a logarithmic axis to stay legible.</summary>
    private const double WidestLinear = 9;

    /// <summary>Maps a result to the chart.</summary>
    /// <param name="result">The plan's result.</param>
    public static ChartModel Build(PlanResult result)
    {
        var prices = new MachinePrices(result);
        if (prices.Drawn.Count == 0)
            return Nothing(result);

        ChartAxis x = TimeAxis(prices);
        MachineOutcome[] frontier = Frontier(prices);
        return new ChartModel
        {
            Name = "cost",
            Title = Title(prices),
            Subtitle = $"Cost of a run{Logarithmic(prices.CostAxis())} against time from start to finish{Logarithmic(x)}.{prices.LeftOut}",
            TextAlternative = TextAlternative(prices, frontier),
            X = x,
            Y = prices.CostAxis(),
            Height = Height,
            Lines = frontier.Length > 1 ? [new(LineRole.Frontier, Staircase(frontier))] : [],
            Marks = prices.Drawn.Select(outcome => Mark(prices, outcome)).ToValueList(),
            Readouts = prices.Drawn
                .Select(outcome => new Readout(outcome.StartToFinishSeconds.Median, (double)outcome.CostPerRun, prices.ReadoutText(outcome)))
                .OrderBy(readout => readout.X)
                .ToValueList(),
            Window = x.Ticks.Any(tick => tick.IsWindow) && prices.Window is { } window ? ChartWindow.Upright(window) : null,
            Notes = ToSpare(prices, prices.CostAxis()),
            Key = Key(prices),
            Table = prices.Table(),
        };
    }

    private static string Logarithmic(ChartAxis axis) => axis.Scale == AxisScale.Logarithmic ? " (logarithmic)" : "";

    /// <summary>The chart before there is a result.</summary>
    public static ChartModel WithoutResult() => Nothing(null);

    private static ChartModel Nothing(PlanResult? result) => UnpricedMachines.Chart("cost", Height, "start to finish", UnpricedMachines.Missing(result));

    private static string Title(MachinePrices prices)
    {
        PlanResult result = prices.Result;
        if (prices.Choice is { } choice && prices.Holds)
        {
            string name = prices.Label(choice).Name;
            string next = result.NextFaster is { } faster && faster.Currency == prices.Currency
                ? $"; the next faster machine costs {ChartWords.HowMuchMore(faster.CostPerRun, choice.CostPerRun)}"
                : "";
            return $"{name} is the cheapest inside the window{next}";
        }

        if (prices.Choice is { } closest && prices.Window is { } window)
            return $"No machine holds the {Figures.Time(window.Seconds)} window; {prices.Label(closest).Name} comes closest";

        MachineOutcome fastest = prices.Drawn.MinBy(outcome => outcome.StartToFinishSeconds.Median)!;
        MachineOutcome cheapest = prices.Drawn.MinBy(outcome => outcome.CostPerRun)!;
        return ReferenceEquals(fastest, cheapest)
            ? $"{prices.Label(fastest).Name} is both the fastest and the cheapest"
            : $"From {prices.Cost(cheapest)} in {Figures.Time(cheapest.StartToFinishSeconds.Median)} on {prices.Label(cheapest).Name} "
                + $"to {prices.Cost(fastest)} in {Figures.Time(fastest.StartToFinishSeconds.Median)} on {prices.Label(fastest).Name}";
    }

    private static string TextAlternative(MachinePrices prices, MachineOutcome[] frontier)
    {
        string Told(MachineOutcome outcome) =>
            $"{prices.Label(outcome).Name} at {Figures.Time(outcome.StartToFinishSeconds.Median)} and {prices.Cost(outcome)}";

        string along = frontier.Length switch
        {
            0 => "",
            1 => $" The frontier is {Told(frontier[0])} alone.",
            _ => $" The frontier runs from {Told(frontier[^1])} to {Told(frontier[0])}.",
        };
        string[] late = prices.Window is { } window
            ? prices.Drawn.Where(outcome => outcome.StartToFinishSeconds.Median > window.Seconds).Select(outcome => prices.Label(outcome).Name).ToArray()
            : [];
        string beyond = late.Length switch
        {
            0 => "",
            1 => $" {late[0]} lies beyond the window.",
            <= 5 => $" {ChartWords.List(late)} lie beyond the window.",
            _ => $" {late.Length} machines lie beyond the window.",
        };
        return $"Cost of a run against time from start to finish.{along}{beyond}";
    }

    private static ChartAxis TimeAxis(MachinePrices prices)
    {
        double low = prices.Drawn.Min(outcome => outcome.StartToFinishSeconds.Low);
        double high = prices.Drawn.Max(outcome => outcome.StartToFinishSeconds.High);
        if (prices.Choice?.HeavyStartToFinishSeconds is { } heavy)
            high = Math.Max(high, heavy.Median);
        bool hasWindow = prices.Window is { } window && window.Seconds < 4 * high && window.Seconds > low / 4;
        if (hasWindow)
        {
            low = Math.Min(low, prices.Window!.Seconds);
            high = Math.Max(high, prices.Window.Seconds);
        }

        string unit;
        ChartAxis axis;
        if (prices.Drawn.Max(outcome => outcome.StartToFinishSeconds.Median) > WidestLinear * prices.Drawn.Min(outcome => outcome.StartToFinishSeconds.Median))
        {
            double room = Math.Pow(high / low, 0.06);
            axis = new() { Title = "", Scale = AxisScale.Logarithmic, Low = low / room, High = high * room, Ticks = [] };
            axis = axis with { Ticks = AxisTicks.TimesIn(axis.Low, axis.High, out unit) };
        }
        else
        {
            double room = 0.08 * (high - low);
            axis = new() { Title = "", Scale = AxisScale.Linear, Low = Math.Max(0, low - room), High = high + room, Ticks = [] };
            axis = axis with { Ticks = AxisTicks.EvenTimes(axis.Low, axis.High, out unit) };
        }

        axis = axis with { Title = $"start to finish, {unit}" };
        return hasWindow
            ? axis with { Ticks = AxisTicks.With(axis.Ticks, axis, AxisTicks.InUnit(prices.Window!.Seconds, axis.High, isWindow: true), 0.04) }
            : axis;
    }

    /// <summary>The frontier's machines that can be chosen, fastest first.</summary>
    private static MachineOutcome[] Frontier(MachinePrices prices) =>
        [.. prices.Drawn
            .Where(outcome => outcome.OnFrontier && (outcome.MeetsTarget || prices.Window is null || !prices.Holds))
            .OrderBy(outcome => outcome.StartToFinishSeconds.Median)];

    /// <summary>As a line that stays at a machine's cost until the next cheaper one has finished too.</summary>
    private static ValueList<ChartPoint> Staircase(MachineOutcome[] frontier)
    {
        var points = new List<ChartPoint>();
        foreach (MachineOutcome outcome in frontier)
        {
            if (points.Count > 0)
                points.Add(new(outcome.StartToFinishSeconds.Median, points[^1].Y));
            points.Add(new(outcome.StartToFinishSeconds.Median, (double)outcome.CostPerRun));
        }

        return points.ToValueList();
    }

    private static MachineMark Mark(MachinePrices prices, MachineOutcome outcome)
    {
        bool chosen = prices.IsChoice(outcome);
        bool good = outcome.OnFrontier && (prices.Window is null || outcome.MeetsTarget);
        return new(
            prices.Label(outcome), new(outcome.StartToFinishSeconds.Median, (double)outcome.CostPerRun),
            chosen ? MachineState.Chosen : good ? MachineState.Good : MachineState.Out, chosen || good)
        {
            Whiskers = (outcome.StartToFinishSeconds.Low, outcome.StartToFinishSeconds.High),
            Heavy = chosen && outcome.HeavyStartToFinishSeconds is { } heavy ? heavy.Median : null,
        };
    }

    private static ValueList<ChartNote> ToSpare(MachinePrices prices, ChartAxis y)
    {
        const double NearTheAxis = 0.12;

        if (prices.Choice is not { } choice || prices.Window is not { } window || choice.StartToFinishSeconds.Median >= window.Seconds)
            return [];

        string spare = Figures.Time(window.Seconds - choice.StartToFinishSeconds.Median);
        string text = $"{spare} to spare";
        if (choice.HeavyStartToFinishSeconds is { } heavy)
        {
            string onHeavy = Figures.Time(Math.Abs(window.Seconds - heavy.Median));
            text += heavy.Median <= window.Seconds
                ? $", {ChartWords.After(spare, onHeavy)} on heavy nights"
                : $"; heavy nights end {onHeavy} late";
        }

        // Below the mark, where the frontier is not; above it where the axis is too near.
        int down = y.Position((double)choice.CostPerRun) < NearTheAxis ? -17 : 17;
        return [new(new(window.Seconds, (double)choice.CostPerRun), text, NoteRole.Quiet) { Side = -1, Offset = (-8, down), WideOnly = false }];
    }

    private static ValueList<KeySign> Key(MachinePrices prices)
    {
        var signs = new List<KeySign>();
        if (prices.Choice is not null)
            signs.Add(KeySign.ChosenMark);
        signs.AddRange([KeySign.FrontierMark, KeySign.OutMark, KeySign.BandWhisker]);
        if (prices.Choice?.HeavyStartToFinishSeconds is not null)
            signs.Add(KeySign.HeavyNight);
        return signs.ToValueList();
    }
}
