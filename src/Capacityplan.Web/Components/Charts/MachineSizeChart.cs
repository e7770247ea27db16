using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>Cost of a run against the size of the machine, in physical cores' worth.</summary>
public static class MachineSizeChart
{
    private const int Height = 340;

    /// <summary>Maps a result to the chart.</summary>
    /// <param name="result">The plan's result.</param>
    public static ChartModel Build(PlanResult result)
    {
        var prices = new MachinePrices(result);
        if (prices.Drawn.Count == 0)
            return Nothing(result);

        ChartAxis x = CoreAxis(prices);
        return new ChartModel
        {
            Name = "machine-size",
            Title = Title(prices),
            Subtitle = $"Cost of a run against the machine's size in cores' worth; lines join machines of one family. Both axes logarithmic.{prices.LeftOut}",
            TextAlternative = TextAlternative(prices),
            X = x,
            Y = prices.CostAxis(),
            Height = Height,
            Lines = FamilyLines(prices),
            Marks = prices.Drawn.Select(outcome => Mark(prices, outcome)).ToValueList(),
            Readouts = prices.Drawn
                .Select(outcome => new Readout(outcome.EffectiveCores, (double)outcome.CostPerRun, $"{ChartWords.CoresWorth(outcome.EffectiveCores)}, {prices.ReadoutText(outcome)}"))
                .OrderBy(readout => readout.X)
                .ToValueList(),
            Key = Key(prices),
            Table = prices.Table(),
        };
    }

    /// <summary>The chart before there is a result.</summary>
    public static ChartModel WithoutResult() => Nothing(null);

    private static ChartModel Nothing(PlanResult? result) => UnpricedMachines.Chart("machine-size", Height, "cores' worth", UnpricedMachines.Missing(result));

    private static string Title(MachinePrices prices)
    {
        MachineOutcome dearest = prices.Drawn.MaxBy(outcome => outcome.CostPerRun)!;
        if (prices.Choice is { } choice && prices.Holds)
        {
            string size = ChartWords.Number(choice.EffectiveCores);
            bool smallerMiss = prices.Drawn.Any(outcome => outcome.EffectiveCores < choice.EffectiveCores)
                && prices.Drawn.All(outcome => outcome.EffectiveCores >= choice.EffectiveCores || !outcome.MeetsTarget);
            string more = ChartWords.HowMuchMore(dearest.CostPerRun, choice.CostPerRun);
            bool largerIsDearer = dearest.EffectiveCores > choice.EffectiveCores && dearest.CostPerRun > choice.CostPerRun;
            return (smallerMiss, largerIsDearer) switch
            {
                (true, true) => $"Below {size} cores' worth the window is missed; above it a run costs up to {more}",
                (true, false) => $"Below {size} cores' worth the window is missed",
                (false, true) => $"{ChartWords.Capitalised(size)} cores' worth is the cheapest size that holds; the dearest costs {more}",
                _ => $"{ChartWords.Capitalised(size)} cores' worth is the cheapest size that holds",
            };
        }

        MachineOutcome cheapest = prices.Drawn.MinBy(outcome => outcome.CostPerRun)!;
        return ReferenceEquals(cheapest, dearest)
            ? $"A run costs {prices.Cost(cheapest)} on {prices.Label(cheapest).Name}"
            : $"A run costs least on {prices.Label(cheapest).Name}, {prices.Cost(cheapest)}, and most on {prices.Label(dearest).Name}, {prices.Cost(dearest)}";
    }

    private static string TextAlternative(MachinePrices prices)
    {
        MachineOutcome smallest = prices.Drawn.MinBy(outcome => outcome.EffectiveCores)!;
        MachineOutcome largest = prices.Drawn.MaxBy(outcome => outcome.EffectiveCores)!;
        string chosen = prices.Choice is { } choice
            ? $" {prices.Label(choice).Name}, with {ChartWords.CoresWorth(choice.EffectiveCores)}, costs {prices.Cost(choice)}."
            : "";
        return $"Cost of a run against machine size, both axes logarithmic, from {prices.Label(smallest).Name} with "
            + $"{ChartWords.CoresWorth(smallest.EffectiveCores)} at {prices.Cost(smallest)} to {prices.Label(largest).Name} with "
            + $"{ChartWords.CoresWorth(largest.EffectiveCores)} at {prices.Cost(largest)}.{chosen}";
    }

    private static ChartAxis CoreAxis(MachinePrices prices)
    {
        double low = prices.Drawn.Min(outcome => outcome.EffectiveCores), high = prices.Drawn.Max(outcome => outcome.EffectiveCores);
        double room = Math.Max(1.2, Math.Pow(high / low, 0.06));
        return new()
        {
            Title = "cores' worth",
            Scale = AxisScale.Logarithmic,
            Low = low / room,
            High = high * room,
            Ticks = AxisTicks.PowersOfTwo(low / room, high * room),
        };
    }

    private static ValueList<ChartLine> FamilyLines(MachinePrices prices) =>
        prices.Drawn
            .GroupBy(outcome => (prices.Label(outcome).Family, outcome.Machine.RelativeCoreSpeed, outcome.Purchase.Kind))
            .Where(family => family.Key.Family.Length > 0 && family.Count() > 1)
            .Select(family => new ChartLine(
                LineRole.Family,
                family.OrderBy(outcome => outcome.EffectiveCores).Select(outcome => new ChartPoint(outcome.EffectiveCores, (double)outcome.CostPerRun)).ToValueList())
            {
                Label = family.Key.Family,
            })
            .ToValueList();

    private static MachineMark Mark(MachinePrices prices, MachineOutcome outcome)
    {
        bool chosen = prices.IsChoice(outcome);
        bool good = prices.Window is null || outcome.MeetsTarget;
        MachineLabel label = prices.Label(outcome);
        return new(
            label, new(outcome.EffectiveCores, (double)outcome.CostPerRun),
            chosen ? MachineState.Chosen : good ? MachineState.Good : MachineState.Out, chosen)
        {
            Text = chosen ? $"{label.Name}, {prices.Cost(outcome)}" : null,
            // The family's line is named once, and its sizes stand on the axis.
            Named = chosen || label.Family.Length == 0,
        };
    }

    private static ValueList<KeySign> Key(MachinePrices prices)
    {
        var signs = new List<KeySign>();
        if (prices.Choice is not null)
            signs.Add(KeySign.ChosenMark);
        if (prices.Window is not null)
            signs.AddRange([KeySign.HoldsMark, KeySign.MissesMark]);
        return signs.ToValueList();
    }
}
