using System.Collections.Immutable;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Sheet;

/// <summary>Which offers the machine table lists.</summary>
public enum OffersShown
{
    /// <summary>All that fit.</summary>
    Fitting,

    /// <summary>Those that reach the target.</summary>
    Holding,

    /// <summary>Those no other beats in both time and cost.</summary>
    Frontier,
}

/// <summary>The rows of the machine table.</summary>
/// <param name="Rows">In their order.</param>
/// <param name="NotYet">How many more there are.</param>
/// <param name="Considered">How many offers there would be without a search, a filter or a limit.</param>
public sealed record MachineRows(ImmutableArray<MachineOutcome> Rows, int NotYet, int Considered);

/// <summary>How the machine table is looked at: what is searched for, listed and sorted by.</summary>
public sealed record MachineView
{
    /// <summary>A longer table is cut there until all of it is asked for.</summary>
    public const int FirstRows = 40;

    /// <summary>One row a machine: its cheapest way to pay that holds, or else its cheapest.</summary>
    public const string CheapestWay = "";

    /// <summary>One row for each way to pay.</summary>
    public const string EveryWay = "every";

    /// <summary>A part of a machine's name; empty for all.</summary>
    public string Find { get; init; } = "";

    /// <summary>Which offers are listed.</summary>
    public OffersShown Shown { get; init; }

    /// <summary><see cref="CheapestWay"/>, <see cref="EveryWay"/>, or one of <see cref="WaysOf"/>.</summary>
    public string Way { get; init; } = CheapestWay;

    /// <summary>True where machines without the memory are listed too.</summary>
    public bool ShowUnfit { get; init; }

    /// <summary>True where all rows are listed, however many.</summary>
    public bool ShowEvery { get; init; }

    /// <summary>What it is sorted by.</summary>
    public MachineSorting Sort { get; init; } = new(MachineColumn.Run, false);

    /// <summary>The kinds of ways to pay there are, in words; empty where there is only one.</summary>
    /// <param name="result">The plan's result.</param>
    public static ImmutableArray<string> WaysOf(PlanResult result)
    {
        ImmutableArray<string> ways = [.. result.Machines.Select(outcome => WayOf(outcome.Purchase)).Distinct().Order(StringComparer.Ordinal)];
        return ways.Length < 2 && result.Machines.All(outcome => outcome.Machine.Purchase.Length == 1) ? [] : ways;
    }

    /// <summary>The rows.</summary>
    /// <param name="result">The plan's result.</param>
    public MachineRows RowsOf(PlanResult result)
    {
        bool nothingFits = result.Machines.All(outcome => !outcome.Fits);
        // A single machine may be offered in a thousand ways: what is cheapest is known from the order of the result.
        IEnumerable<MachineOutcome> offers = result.Machines.Where(outcome => outcome.Fits || ShowUnfit || nothingFits);
        offers = Way switch
        {
            EveryWay => offers,
            CheapestWay => offers.GroupBy(outcome => outcome.Machine, ReferenceEqualityComparer.Instance)
                .Select(ways => ways.FirstOrDefault(outcome => outcome.MeetsTarget) ?? ways.First()),
            _ => offers.Where(outcome => WayOf(outcome.Purchase) == Way),
        };
        MachineOutcome[] considered = [.. offers];
        MachineOutcome[] listed = [.. Sorted(considered.Where(IsListed))];
        int first = ShowEvery ? listed.Length : Math.Min(FirstRows, listed.Length);
        return new MachineRows([.. listed.Take(first)], listed.Length - first, considered.Length);
    }

    /// <summary>What the table is sorted by, in words.</summary>
    public string SortedBy => Sort.Column switch
    {
        MachineColumn.Name => "name",
        MachineColumn.Cores => "cores",
        MachineColumn.Time => "time",
        MachineColumn.Chance => "nights held",
        MachineColumn.Month => "what a month costs",
        _ => "what a run costs",
    };

    private static string WayOf(PurchaseOption purchase) => purchase switch
    {
        MeteredPurchase { AlwaysOn: true } => "always on",
        TermPurchase => "on a term",
        _ => purchase.Kind,
    };

    private bool IsListed(MachineOutcome outcome) =>
        (string.IsNullOrWhiteSpace(Find) || outcome.Machine.Name.Contains(Find.Trim(), StringComparison.OrdinalIgnoreCase))
        && Shown switch
        {
            OffersShown.Holding => outcome.MeetsTarget,
            OffersShown.Frontier => outcome.OnFrontier,
            _ => true,
        };

    private IOrderedEnumerable<MachineOutcome> Sorted(IEnumerable<MachineOutcome> rows) => Sort.Column switch
    {
        MachineColumn.Name => Ordered(rows, outcome => outcome.Machine.Name),
        MachineColumn.Cores => Ordered(rows, outcome => outcome.EffectiveCores),
        MachineColumn.Time => Ordered(rows, outcome => outcome.StartToFinishSeconds.Median),
        MachineColumn.Chance => Ordered(rows, outcome => outcome.ChanceInWindow ?? 0),
        // Amounts of several currencies are not compared.
        MachineColumn.Month => Ordered(rows, outcome => (outcome.Currency, outcome.CostPerMonth)),
        _ => Ordered(rows, outcome => (outcome.Currency, outcome.CostPerRun)),
    };

    private IOrderedEnumerable<MachineOutcome> Ordered<T>(IEnumerable<MachineOutcome> rows, Func<MachineOutcome, T> key) =>
        Sort.Descending ? rows.OrderByDescending(key) : rows.OrderBy(key);
}
