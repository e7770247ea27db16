using System.Collections.Immutable;

namespace Capacityplan.Core.Planning;

/// <summary>The state of an answer.</summary>
public enum VerdictState
{
    /// <summary>A machine reaches the target.</summary>
    Holds,

    /// <summary>None does.</summary>
    Misses,

    /// <summary>Something is missing or two inputs disagree.</summary>
    NotYet,
}

/// <summary>What a part of the answer's sentence is.</summary>
public enum AnswerPartKind
{
    /// <summary>Plain words.</summary>
    Words,

    /// <summary>A machine's name.</summary>
    Machine,

    /// <summary>A time from start to finish, which has a working.</summary>
    Time,

    /// <summary>The window's length.</summary>
    Window,

    /// <summary>A chance, which has a working.</summary>
    Chance,

    /// <summary>A cost, which has a working.</summary>
    Cost,
}

/// <summary>A part of the answer's sentence.</summary>
/// <param name="Kind">What it is.</param>
/// <param name="Text">Its text, with the spaces that belong to it.</param>
public sealed record AnswerPart(AnswerPartKind Kind, string Text);

/// <summary>The answer.</summary>
public sealed record Verdict
{
    /// <summary>Its state.</summary>
    public required VerdictState State { get; init; }

    /// <summary>The chosen machine, or the one that comes closest where none holds; null where there is no answer yet.</summary>
    public required MachineOutcome? Choice { get; init; }

    /// <summary>The sentence, in parts.</summary>
    public required ImmutableArray<AnswerPart> Parts { get; init; }

    /// <summary>The same for a narrow screen.</summary>
    public required ImmutableArray<AnswerPart> BriefParts { get; init; }

    /// <summary>A second, quieter sentence: how sure the choice is, what limits it; empty where there is none.</summary>
    public required string Then { get; init; }

    /// <summary>A few words beside the state: how much there is to spare, or what is missing.</summary>
    public required string StateNote { get; init; }

    /// <summary>The sentence as one text.</summary>
    public string Sentence => string.Concat(Parts.Select(part => part.Text));

    /// <summary>The brief sentence as one text.</summary>
    public string Brief => string.Concat(BriefParts.Select(part => part.Text));
}

/// <summary>Everything a plan comes to.</summary>
public sealed record PlanResult
{
    /// <summary>The plan it was worked out for.</summary>
    public required Plan Plan { get; init; }

    /// <summary>The seed used; the same plan, catalogue and seed give the same result on any number of threads.</summary>
    public required int Seed { get; init; }

    /// <summary>How the job scales.</summary>
    public required Forecast Forecast { get; init; }

    /// <summary>What the forecast was made from.</summary>
    internal ForecastOrder? ForecastOrder { get; init; }

    /// <summary>Every machine and way to pay, cheapest run first; those that do not fit last.</summary>
    public required ImmutableArray<MachineOutcome> Machines { get; init; }

    /// <summary>The answer.</summary>
    public required Verdict Verdict { get; init; }

    /// <summary>The next faster machine that meets the target, on the frontier; null where there is none.</summary>
    public required MachineOutcome? NextFaster { get; init; }

    /// <summary>The next cheapest machine that meets the target; null where there is none.</summary>
    public required MachineOutcome? RunnerUp { get; init; }

    /// <summary>In what share of the forecast's draws the choice stays the cheapest that holds; null where nothing is chosen.</summary>
    public required double? ShareChoiceStays { get; init; }

    /// <summary>From how many runs a month another way to pay is the cheaper one; null where nothing is named.</summary>
    public BreakEvens? BreakEvens { get; init; }

    /// <summary>Whether measuring more would change the choice; null without a window, machines or timings.</summary>
    public MeasurementOutlook? Outlook { get; init; }

    /// <summary>What is doubtful about the answer.</summary>
    public required ImmutableArray<Problem> Problems { get; init; }

    /// <summary>The plan's own job by itself, on the machine chosen for the whole night; null where it shares the night with no other.</summary>
    public PlanResult? Alone { get; init; }

    /// <summary>How the jobs of the night run on the chosen machine, or the one that comes closest; null likewise, and where there is none.</summary>
    public NightSchedule? NightOnChoice { get; init; }

    /// <summary>What says how the plan's own job scales: <see cref="Alone"/>, or this where it shares the night with no other.</summary>
    public PlanResult OfJob => Alone ?? this;
}
