using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Reading;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Web.Plans;

/// <summary>How finished the answer on the page is.</summary>
public enum AnswerStage
{
    /// <summary>The answer is for what is typed.</summary>
    Done,

    /// <summary>An answer is being worked out; the last one is shown.</summary>
    Working,

    /// <summary>Working it out was stopped, or what is typed cannot be understood: the last answer is shown.</summary>
    Stale,
}

/// <summary>A kept what-if and what it comes to.</summary>
/// <param name="Asked">The what-if.</param>
/// <param name="Result">What the plan would come to.</param>
public sealed record VariantAnswer(NamedWhatIf Asked, PlanResult Result);

/// <summary>
/// A plan while it is worked on: takes each change at once, works the answer out away from the caller's thread, drops work
/// whose input has changed, and keeps the last answer while the typed text cannot be understood.
/// </summary>
public sealed class PlanSession : IAsyncDisposable
{
    /// <summary>Pasted or typed timings are read after so much silence.</summary>
    public static readonly TimeSpan Silence = TimeSpan.FromMilliseconds(200);

    /// <summary>Work longer than this says how far it is and can be stopped.</summary>
    private static readonly TimeSpan s_untilProgressShows = TimeSpan.FromMilliseconds(400);

    /// <summary>A what-if shows a machine, not core counts.</summary>
    private static readonly PlannerSettings s_asked = new() { Cores = [] };

    /// <summary>A coarse answer shows curves and machines, and says nothing in words.</summary>
    private static readonly PlannerSettings s_coarse = new() { Cores = [], SimulateNextRuns = false };

    private readonly TimeProvider _clock;
    private readonly LatestWork _work = new();
    private readonly ScalingMemory _scaled = new();
    private DraftGraph? _graph;
    private NightPlans _night = NightPlans.None;

    /// <summary>Opens a plan.</summary>
    /// <param name="draft">What its owner typed.</param>
    /// <param name="catalogue">The machines to choose from.</param>
    /// <param name="clock">The clock.</param>
    public PlanSession(PlanDraft draft, Catalogue catalogue, TimeProvider clock)
    {
        _clock = clock;
        Draft = draft;
        Catalogue = catalogue;
        Reading = PlanDraftReader.Read(draft);
    }

    /// <summary>Raised, on any thread, whenever something shown has changed.</summary>
    public event Action? Changed
    {
        add => _work.Changed += value;
        remove => _work.Changed -= value;
    }

    /// <summary>Raised, on any thread, when there is another <see cref="Glimpse"/>; the last of them ends with <see cref="Changed"/>.</summary>
    public event Action? Glimpsed;

    /// <summary>Raised, on the caller's thread, as soon as something is typed, before anything is made of it.</summary>
    public event Action<PlanDraft>? Typed;

    /// <summary>What is typed.</summary>
    public PlanDraft Draft { get; private set; }

    /// <summary>The machines to choose from.</summary>
    public Catalogue Catalogue { get; private set; }

    /// <summary>What it was understood as.</summary>
    public PlanDraftReading Reading { get; private set; }

    /// <summary>The last answer; null before the first, and where what it rested on is gone.</summary>
    public PlanResult? Result { get; private set; }

    /// <summary>What charts may show already of the answer that is being worked out; null where none is.</summary>
    public AnswerGlimpse? Glimpse { get; private set; }

    /// <summary>The answer to the what-if that is typed; null where none is asked for.</summary>
    public PlanResult? WhatIf { get; private set; }

    /// <summary>The answers to the what-ifs that are kept, in their order.</summary>
    public ImmutableArray<VariantAnswer> Variants { get; private set; } = [];

    /// <summary>True where <see cref="Result"/> is for what was typed before, since that cannot be answered as it stands.</summary>
    public bool IsOld => Result is not null && Reading.Plan is null && Stage == AnswerStage.Stale;

    /// <summary>How the job of the last answer scales; null before the first.</summary>
    public ScalingForecast? Scaling { get; private set; }

    /// <summary>How finished the answer is.</summary>
    public AnswerStage Stage { get; private set; } = AnswerStage.Working;

    /// <summary>How much of a long piece of work is done, from 0 to 1; null where none is under way.</summary>
    public double? Progress { get; private set; }

    /// <summary>What went wrong on our side while working it out; null where nothing did.</summary>
    public Exception? Fault { get; private set; }

    /// <summary>Works out the first answer.</summary>
    public void Start() => Begin(TimeSpan.Zero);

    /// <summary>Takes a change.</summary>
    /// <param name="draft">The draft as it is now.</param>
    /// <param name="afterSilence">True for a text that is still being typed: it is read after <see cref="Silence"/>.</param>
    public void Change(PlanDraft draft, bool afterSilence = false)
    {
        Draft = draft;
        Typed?.Invoke(draft);
        Begin(afterSilence ? Silence : TimeSpan.Zero);
    }

    /// <summary>Takes other machines, or other prices of theirs.</summary>
    /// <param name="catalogue">The machines to choose from.</param>
    public void Price(Catalogue catalogue)
    {
        Catalogue = catalogue;
        Begin(TimeSpan.Zero);
    }

    /// <summary>Takes simulated runs of the job's phases, which then stand in for the closed form.</summary>
    /// <param name="structure">The phases simulated.</param>
    /// <param name="pools">The runs, on pools of workers with a core each.</param>
    public void TakeSimulated(JobStructure structure, IReadOnlyList<SimulatedPool> pools)
    {
        _scaled.Take(structure, pools);
        Begin(TimeSpan.Zero);
    }

    /// <summary>Takes the draft's task graph, read from its file.</summary>
    /// <param name="graph">The graph.</param>
    public void TakeGraph(DraftGraph graph)
    {
        lock (_work.Gate)
        {
            _graph = graph;
        }

        Begin(TimeSpan.Zero);
    }

    /// <summary>Takes the saved plans its night refers to, as they are stored now.</summary>
    /// <param name="plans">The plans.</param>
    public void TakeNight(NightPlans plans)
    {
        lock (_work.Gate)
        {
            _night = plans;
        }

        Begin(TimeSpan.Zero);
    }

    /// <summary>Takes simulated runs of the job's task graph, which then stand in for the greedy bound.</summary>
    /// <param name="job">The job simulated.</param>
    /// <param name="pools">The runs, on pools of workers with a core each.</param>
    public void TakeSimulated(GraphJob job, IReadOnlyList<SimulatedPool> pools)
    {
        _scaled.Take(job, pools);
        Begin(TimeSpan.Zero);
    }

    /// <summary>Stops the work under way; the last answer stands.</summary>
    public void Stop()
    {
        lock (_work.Gate)
        {
            _work.Drop();
            (Stage, Progress, Glimpse) = (AnswerStage.Stale, null, null);
        }

        _work.RaiseChanged();
    }

    /// <summary>Completes when the work begun so far has ended.</summary>
    public Task WhenSettledAsync() => _work.WhenSettledAsync();

    /// <inheritdoc/>
    public ValueTask DisposeAsync()
    {
        (Typed, Glimpsed) = (null, null);
        return _work.DisposeAsync();
    }

    private void Begin(TimeSpan silence)
    {
        lock (_work.Gate)
        {
            (Stage, Progress) = (AnswerStage.Working, null);
            PlanDraft draft = Draft;
            _work.Begin(
                turn => WorkOut(draft, turn), fault => (Fault, Stage, Progress, Glimpse) = (fault, AnswerStage.Stale, null, null), rest: (silence, _clock));
        }
    }

    private void WorkOut(PlanDraft draft, LatestWork.Turn turn)
    {
        CancellationToken cancellation = turn.Cancellation;
        TimingsReading? known = draft.TimingsText == Reading.Draft.TimingsText ? Reading.Timings : null;
        DraftGraph? graph;
        NightPlans night;
        lock (_work.Gate)
        {
            night = _night;
            graph = _graph?.IsOf(draft) == true ? _graph : Reading.Graph;
        }

        // One catalogue throughout: another may be taken while this one is worked with.
        Catalogue catalogue = Catalogue;
        PlanDraftReading reading = PlanDraftReader.Read(draft, known, graph, night);
        cancellation.ThrowIfCancellationRequested();
        if (reading.Plan is not { } plan)
        {
            // A file or a plan that is being read answers by itself once it has been.
            AnswerStage stage = reading.Question is PlanQuestion.GraphFile or PlanQuestion.NightPlans ? AnswerStage.Working : AnswerStage.Stale;
            // A slip leaves the last answer standing; where what it rests on is gone, there is none.
            bool isGone = reading.Question is PlanQuestion.Description or PlanQuestion.SecondCoreCount or PlanQuestion.BaseTime;
            turn.Show(() =>
            {
                (Reading, Fault, Stage, Progress, Glimpse) = (reading, null, stage, null, null);
                if (isGone)
                    (Result, WhatIf, Variants, Scaling) = (null, null, [], null);
            });
            return;
        }

        void ShowFirst(PlanResult first, bool isWhole)
        {
            if (Result is not null)
                turn.Show(() => Glimpse = new AnswerGlimpse(first, isWhole), Glimpsed ?? (() => { }));
        }

        if (CoarseOf(plan, catalogue, cancellation) is { } coarse)
            ShowFirst(coarse, isWhole: false);
        ScalingForecast scaling = Scale(plan, turn);
        var settings = new PlannerSettings { AdviseForChoice = true };
        if (reading.WhatIfCores is { } cores && !settings.Cores.Contains(cores))
            settings = settings with { Cores = settings.Cores.Add(cores) };
        PlanResult result = Planner.Evaluate(plan, catalogue, settings, scaling, Result, first => ShowFirst(first, isWhole: true), cancellation);
        PlanResult Ask(WhatIf levers) => levers.Evaluate(plan, catalogue, s_asked, scaling, cancellation);
        PlanResult? whatIf = reading.WhatIf is { } typed ? Ask(typed) : null;
        ImmutableArray<VariantAnswer> variants = [.. reading.Variants.Select(variant => new VariantAnswer(variant, Ask(variant.Levers)))];
        turn.Show(() =>
        {
            (Reading, Result, WhatIf, Variants, Scaling) = (reading, result, whatIf, variants, scaling);
            (Fault, Stage, Progress, Glimpse) = (null, AnswerStage.Done, null, null);
        });
    }

    /// <summary>A first look at what is fitted anew, while the charts show the same points: others are drawn anew, which takes longer.</summary>
    private PlanResult? CoarseOf(Plan plan, Catalogue catalogue, CancellationToken cancellation) =>
        Result is { Plan: { } shown } && shown.Timings.Length == plan.Timings.Length && _scaled.CoarseOf(plan, cancellation) is { } scaling
            ? Planner.Evaluate(plan, catalogue, s_coarse, scaling, cancellation: cancellation)
            : null;

    /// <summary>How the job scales; a fit that takes long says how far it is.</summary>
    private ScalingForecast Scale(Plan plan, LatestWork.Turn turn)
    {
        long started = _clock.GetTimestamp();
        IProgress<double> progress = turn.Tell<double>(share => Progress = share, _ => _clock.GetElapsedTime(started) > s_untilProgressShows);
        return _scaled.Of(plan, progress, turn.Cancellation);
    }
}
