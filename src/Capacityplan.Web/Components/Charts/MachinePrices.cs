using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>What the two charts of a run's cost draw alike: the machines that fit, in one currency.</summary>
internal sealed class MachinePrices
{
    private readonly HashSet<string> _paidSeveralWays;

    public MachinePrices(PlanResult result)
    {
        Result = result;
        Choice = result.Verdict.Choice;
        // A run that hardly ever finishes has no place among the times.
        MachineOutcome[] fitting = result.Machines.Where(outcome => outcome.Fits && outcome.Finishes).ToArray();
        Currency = Choice?.Currency
            ?? fitting.CountBy(outcome => outcome.Currency).OrderByDescending(pair => pair.Value).Select(pair => pair.Key).FirstOrDefault()
            ?? "";
        MachineOutcome[] comparable = [.. fitting.Where(outcome => outcome.Currency == Currency)];
        InOtherCurrencies = fitting.Length - comparable.Length;
        _paidSeveralWays = comparable.CountBy(outcome => outcome.Machine.Name).Where(pair => pair.Value > 1).Select(pair => pair.Key).ToHashSet();
        Drawn = comparable.Length <= MostDrawn ? comparable : WorthDrawing(comparable);
        Undrawn = comparable.Length - Drawn.Count;
    }

    /// <summary>More marks than this hide each other and their names.</summary>
    public const int MostDrawn = 30;

    public PlanResult Result { get; }

    public MachineOutcome? Choice { get; }

    public bool Holds => Result.Verdict.State == VerdictState.Holds;

    public BatchWindow? Window => Result.Plan.Window;

    /// <summary>ISO 4217 code; empty where no machine fits.</summary>
    public string Currency { get; }

    public IReadOnlyList<MachineOutcome> Drawn { get; }

    public int InOtherCurrencies { get; }

    /// <summary>Offers left to the table, because so many cannot be told apart.</summary>
    public int Undrawn { get; }

    /// <summary>A machine's name, with the way it is paid for where it appears in several.</summary>
    public MachineLabel Label(MachineOutcome outcome)
    {
        if (!_paidSeveralWays.Contains(outcome.Machine.Name))
            return MachineLabel.Of(outcome.Machine.Name);
        string name = outcome.Name == outcome.Machine.Name ? $"{outcome.Name}, {PurchaseWords.Of(outcome.Purchase)}" : outcome.Name;
        return new(name, "", name);
    }

    public bool IsChoice(MachineOutcome outcome) => Choice is not null && Label(outcome) == Label(Choice);

    public string Cost(MachineOutcome outcome) => Figures.MoneyOfRun(outcome.CostPerRun, Currency);

    public string LeftOut => (InOtherCurrencies switch
    {
        0 => "",
        1 => " 1 machine priced in another currency is left out.",
        _ => $" {Figures.Count(InOtherCurrencies)} machines priced in other currencies are left out.",
    }) + (Undrawn == 0 ? "" : $" {Figures.Count(Undrawn)} more offers stand in the table only.");

    /// <summary>The choice and the frontier, then each machine in its cheapest way, the cheapest first.</summary>
    private MachineOutcome[] WorthDrawing(MachineOutcome[] comparable)
    {
        HashSet<MachineOutcome> worth = new(ReferenceEqualityComparer.Instance);
        IEnumerable<MachineOutcome> inOrder =
        [
            .. comparable.Where(IsChoice), .. comparable.Where(outcome => outcome.OnFrontier), .. comparable.DistinctBy(outcome => outcome.Machine.Name),
        ];
        worth.UnionWith(inOrder.Distinct().Take(MostDrawn));
        return [.. comparable.Where(worth.Contains)];
    }

    public ChartAxis CostAxis()
    {
        double low = (double)Drawn.Min(outcome => outcome.CostPerRun), high = (double)Drawn.Max(outcome => outcome.CostPerRun);
        if (low <= 0)
        {
            double top = high > 0 ? high * 1.1 : 1;
            return new() { Title = "cost of a run", Scale = AxisScale.Linear, Low = -0.04 * top, High = top, Ticks = AxisTicks.EvenMoney(0, top, Currency) };
        }

        double room = Math.Max(1.12, Math.Pow(high / low, 0.08));
        var axis = new ChartAxis { Title = "cost of a run", Scale = AxisScale.Logarithmic, Low = low / room, High = high * room, Ticks = [] };
        return axis with { Ticks = AxisTicks.Money(axis.Low, axis.High, Currency) };
    }

    public string ReadoutText(MachineOutcome outcome)
    {
        string chance = outcome.ChanceInWindow is { } held ? $"; holds {Figures.Chance(held)} nights" : "";
        return $"{Label(outcome).Name}: {Figures.TimeWithBand(outcome.StartToFinishSeconds)}, {Cost(outcome)} a run{chance}.";
    }

    public ChartTable Table()
    {
        bool heavy = Drawn.Any(outcome => outcome.HeavyStartToFinishSeconds is not null);
        var columns = new List<string> { "machine", "cores' worth", "start to finish", ChartWords.Nights(Result.Forecast.BandShare) };
        if (heavy)
            columns.Add("heavy night");
        if (Window is not null)
            columns.Add("nights held, of 100");
        columns.AddRange(["a run", "on the frontier"]);
        return new(columns.ToValueList(), Drawn.Select(Row).ToValueList());

        TableRow Row(MachineOutcome outcome)
        {
            var cells = new List<string>
            {
                Label(outcome).Name,
                Figures.Count(outcome.EffectiveCores),
                Figures.Time(outcome.StartToFinishSeconds.Median),
                Figures.TimeRange(outcome.StartToFinishSeconds.Low, outcome.StartToFinishSeconds.High),
            };
            if (heavy)
                cells.Add(outcome.HeavyStartToFinishSeconds is { } night ? Figures.Time(night.Median) : Figures.Unknown);
            if (Window is not null)
                cells.Add(outcome.ChanceInWindow is { } held ? Figures.ChanceBrief(held) : Figures.Unknown);
            cells.Add(Cost(outcome));
            cells.Add(outcome.OnFrontier ? "yes" : "no");
            return new(cells.ToValueList(), IsChoice(outcome));
        }
    }
}
