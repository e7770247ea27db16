using System.Collections.Immutable;
using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Components.Plans;

/// <summary>How a plan on the list stands.</summary>
public enum ListedState
{
    /// <summary>A machine holds its window.</summary>
    Holds,

    /// <summary>None does.</summary>
    Misses,

    /// <summary>It has no answer yet.</summary>
    NotYet,

    /// <summary>It has one, with prices that are too old.</summary>
    Stale,

    /// <summary>What is stored of it cannot be read.</summary>
    Unreadable,
}

/// <summary>A line of the list.</summary>
/// <param name="Id">The plan's key.</param>
/// <param name="Name">Its name; not blank.</param>
/// <param name="Owner">Its owner; may be empty.</param>
/// <param name="State">How it stands.</param>
/// <param name="Answer">Its last answer, or why there is none.</param>
/// <param name="SavedAt">When it was last saved.</param>
/// <param name="Unreadable">The stored text and why it cannot be read; null where it can.</param>
public sealed record ListedPlan(
    Guid Id, string Name, string Owner, ListedState State, string Answer, DateTimeOffset SavedAt, Unreadable? Unreadable);

/// <summary>The list of plans as the page shows it.</summary>
public sealed record PlanList
{
    private static readonly (ListedState State, string One, string Several)[] s_counted =
    [
        (ListedState.Holds, "holds", "hold"),
        (ListedState.Misses, "misses", "miss"),
        (ListedState.NotYet, "has no answer yet", "have no answer yet"),
        (ListedState.Stale, "needs fresh prices", "need fresh prices"),
        (ListedState.Unreadable, "cannot be read", "cannot be read"),
    ];

    /// <summary>The plans, last changed first.</summary>
    public required ImmutableArray<ListedPlan> Plans { get; init; }

    /// <summary>What the list comes to, as a sentence: "Three hold, one misses."; empty for an empty list.</summary>
    public string Finding
    {
        get
        {
            (int Count, string One, string Several)[] counts =
                [.. s_counted.Select(kind => (Count(kind.State), kind.One, kind.Several)).Where(kind => kind.Item1 > 0)];
            return counts switch
            {
                [] => "",
                [(1, var one, _)] => $"The one plan {one}.",
                [(2, _, var several)] => $"Both plans {several}.",
                [(var count, _, var several)] => $"All {ChartWords.Number(count)} plans {several}.",
                _ => ChartWords.Capitalised(string.Join(", ", counts.Select(kind =>
                    $"{ChartWords.Number(kind.Count)} {(kind.Count == 1 ? kind.One : kind.Several)}"))) + ".",
            };
        }
    }

    /// <summary>Lists stored plans. Reads the drafts of those without an answer, to say what they wait for.</summary>
    /// <param name="plans">The plans, in the order to show.</param>
    /// <param name="catalogues">The catalogues they are priced with.</param>
    /// <param name="today">The day it is.</param>
    public static PlanList Of(IEnumerable<StoredPlan> plans, IReadOnlyList<StoredCatalogue> catalogues, DateOnly today) =>
        new() { Plans = [.. plans.Select(plan => Listed(plan, catalogues, today))] };

    /// <summary>The word for a state.</summary>
    public static string Word(ListedState state) => state switch
    {
        ListedState.Holds => "Holds",
        ListedState.Misses => "Misses",
        ListedState.NotYet => "Not yet",
        ListedState.Stale => "Stale",
        _ => "Unreadable",
    };

    /// <summary>How many are in a state.</summary>
    public int Count(ListedState state) => Plans.Count(plan => plan.State == state);

    /// <summary>The plans to show.</summary>
    /// <param name="find">Words that all have to be in the name, the owner, the answer or its state, in any case; blank for all.</param>
    /// <param name="state">The state to show; null for all.</param>
    public ImmutableArray<ListedPlan> Find(string? find, ListedState? state)
    {
        string[] words = (find ?? "").Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
        return [.. Plans.Where(plan => (state is null || plan.State == state) && words.All(word => Has(plan, word)))];
    }

    private static bool Has(ListedPlan plan, string word) =>
        plan.Name.Contains(word, StringComparison.OrdinalIgnoreCase)
        || plan.Owner.Contains(word, StringComparison.OrdinalIgnoreCase)
        // A figure and its unit are joined by a no-break space, which nobody types; words are compared one by one.
        || plan.Answer.Contains(word, StringComparison.OrdinalIgnoreCase)
        || Word(plan.State).Contains(word, StringComparison.OrdinalIgnoreCase);

    private static ListedPlan Listed(StoredPlan plan, IReadOnlyList<StoredCatalogue> catalogues, DateOnly today)
    {
        string name = string.IsNullOrWhiteSpace(plan.Name) ? "A plan without a name" : plan.Name;
        (ListedState state, string answer) = plan switch
        {
            { IsReadable: false } => (ListedState.Unreadable, "What is stored of this plan cannot be read. Its text is kept as it is."),
            { LastAnswer: null } => (ListedState.NotYet, PlanDraftReader.Read(plan.Draft).Waiting?.Sentence ?? "Not worked out yet. Open it for its answer."),
            { LastAnswer: { State: VerdictState.NotYet } waiting } => (ListedState.NotYet, waiting.Sentence),
            { LastAnswer: { } last } when PriceAge(plan.Draft, catalogues, today) is { } months =>
                (ListedState.Stale, $"Prices are {Figures.Count(months)} months old. The last answer: {last.Sentence}"),
            { LastAnswer: { } last } => (last.State == VerdictState.Holds ? ListedState.Holds : ListedState.Misses, last.Sentence),
        };
        return new ListedPlan(plan.Id, name, plan.Owner, state, answer, plan.UpdatedAt, plan.Unreadable);
    }

    /// <summary>Age of the prices a plan was answered with, months; null while they are fresh enough.</summary>
    private static int? PriceAge(PlanDraft draft, IReadOnlyList<StoredCatalogue> catalogues, DateOnly today)
    {
        StoredCatalogue? pricedWith = catalogues.FirstOrDefault(catalogue => draft.CatalogueId is { } id ? catalogue.Id == id : catalogue.IsDefault);
        return pricedWith?.Catalogue is { } catalogue && catalogue.PricesAreStale(today) ? catalogue.PriceAgeMonths(today) : null;
    }
}
