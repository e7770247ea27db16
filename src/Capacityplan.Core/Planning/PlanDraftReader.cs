using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Reading;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Planning;

/// <summary>Reads a plan's blanks and paste; never throws on content.</summary>
public static class PlanDraftReader
{
    private const double Day = 86_400;

    /// <summary>Reads a draft.</summary>
    /// <param name="draft">What its owner typed.</param>
    /// <param name="timings">What <see cref="TimingsReader"/> made of the draft's paste, where that is known already.</param>
    /// <param name="graph">The draft's task graph, where it has been read already; one in a file has to be.</param>
    /// <param name="nightPlans">The saved plans its night refers to, where they have been looked up already; they have to be.</param>
    public static PlanDraftReading Read(PlanDraft draft, TimingsReading? timings = null, DraftGraph? graph = null, NightPlans? nightPlans = null)
    {
        timings ??= TimingsReader.Read(draft.TimingsText);
        var blanks = new BlankReader();
        (BatchWindow? window, bool nextDayAsked) = Window(draft, blanks);
        ImmutableArray<Timing> runs = Scaled(draft, timings, blanks);
        SchedulingCosts costs = Costs(draft, blanks);
        WorkAndSpan? workAndSpan = WorkAndSpan(draft, costs, blanks);
        graph = graph?.IsOf(draft) == true ? graph : Pasted(draft);
        GraphJob? tasks = Graph(graph, costs, blanks);
        JobStructure? structure = PhaseReader.Read(draft.Phases, blanks);
        double gain = blanks.Share(nameof(PlanDraft.SecondThreadGain), draft.SecondThreadGain, 0, 1) ?? 0.25;
        var measuredOn = new MeasuredOn
        {
            Name = draft.MeasuredOnName,
            PhysicalCores = blanks.Whole(nameof(PlanDraft.MeasuredOnCores), draft.MeasuredOnCores, 1, Timing.MostCores),
            RelativeCoreSpeed = blanks.Number(nameof(PlanDraft.MeasuredOnSpeed), draft.MeasuredOnSpeed, 0.001, 1_000) ?? 1,
        };
        AssumedNoise noise = blanks.Noise(nameof(PlanDraft.MachineNoise), draft.MachineNoise) ?? AssumedNoise.Usual;
        double memory = blanks.Memory(nameof(PlanDraft.Memory), draft.Memory) ?? 0;
        double runsPerMonth = blanks.Rate(nameof(PlanDraft.Runs), draft.Runs) ?? 30.4;
        ExpectedGrowth growth = Growth(draft, blanks);
        var inputWork = new InputWork
        {
            Formula = draft.WorkGrows,
            Items = draft.WorkGrows == WorkFormula.TimesLogarithm
                ? blanks.Number(nameof(PlanDraft.InputItems), draft.InputItems, 2, 1e18) ?? InputWork.UsualItems
                : InputWork.UsualItems,
        };
        Nights nights = Nights(draft, blanks);
        (SharedNight? night, bool nightWaits) = NightReader.Read(draft, nightPlans ?? NightPlans.None, blanks);
        WhatIf whatIf = draft.WhatIf.Read(nameof(PlanDraft.WhatIf), blanks);
        ImmutableArray<NamedWhatIf> variants = Variants(draft);
        int? graphCores = blanks.Whole(nameof(PlanDraft.GraphCores), draft.GraphCores, 1, RunPicture.MostWorkers);
        int? simulatedWorkers = blanks.Whole(nameof(PlanDraft.SimulatedWorkers), draft.SimulatedWorkers, 1, RunPicture.MostWorkers);
        int? splitPhase = blanks.Whole(nameof(PlanDraft.SplitPhase), draft.SplitPhase, 1, Math.Max(1, draft.Phases.Length));
        int? whatIfCores = blanks.Whole(nameof(PlanDraft.WhatIfCores), draft.WhatIfCores, 1, Timing.MostCores);

        Plan? plan = null;
        // With a curve to come from no description there is nothing to work out; a blank in doubt keeps the last answer.
        bool isDescribed = workAndSpan is not null || structure is not null || tasks is not null;
        PlanQuestion question = draft.GraphFile.Length > 0 && graph is null
            ? PlanQuestion.GraphFile
            : QuestionOf(timings, runs, isDescribed, blanks, nextDayAsked, cores => measuredOn.CoresWorth(cores, gain));
        if (question == PlanQuestion.None && nightWaits)
            question = PlanQuestion.NightPlans;
        if (question == PlanQuestion.None)
        {
            plan = new Plan(runs, workAndSpan, structure, tasks)
            {
                Name = draft.Name,
                MeasuredOn = measuredOn,
                Noise = noise,
                SecondThreadGain = gain,
                Window = window,
                Nights = nights,
                Growth = growth,
                InputWork = inputWork,
                RunsPerMonth = runsPerMonth,
                MemoryGiB = memory,
                SharedNight = night,
            };
        }

        return new PlanDraftReading
        {
            Draft = draft,
            Plan = plan,
            Timings = timings,
            Graph = graph,
            Blanks = blanks.Problems,
            Notes = blanks.Notes,
            Question = question,
            Bounds = question == PlanQuestion.SecondCoreCount ? TimingBounds.Of(runs, cores => measuredOn.CoresWorth(cores, gain)) : null,
            Waiting = question == PlanQuestion.None ? null : Waiting(question, draft, timings, blanks),
            WhatIfCores = whatIfCores,
            GraphCores = graphCores,
            SimulatedWorkers = simulatedWorkers,
            SplitPhase = splitPhase,
            WhatIf = whatIf.IsBase ? null : whatIf,
            Variants = variants,
        };
    }

    /// <summary>The kept what-ifs. They were understood when they were kept; one edited elsewhere since asks what of it can be read.</summary>
    private static ImmutableArray<NamedWhatIf> Variants(PlanDraft draft) =>
        [.. draft.Variants.Select(variant => new NamedWhatIf(variant.Name, variant.Read("", new BlankReader())))];

    private static PlanQuestion QuestionOf(
        TimingsReading timings, ImmutableArray<Timing> runs, bool isDescribed, BlankReader blanks, bool nextDayAsked,
        Func<int, double> coresWorth)
    {
        if (blanks.Any || timings.Problems.Any(problem => problem.Severity == ProblemSeverity.Error))
            return PlanQuestion.Correction;
        if (nextDayAsked)
            return PlanQuestion.NextDay;
        if (timings.IsRelative && runs.IsEmpty && !isDescribed)
            return PlanQuestion.BaseTime;
        if (runs.IsEmpty && !isDescribed)
            return PlanQuestion.Description;
        return !isDescribed && TimingBounds.Of(runs, coresWorth) is not null ? PlanQuestion.SecondCoreCount : PlanQuestion.None;
    }

    private static Verdict Waiting(PlanQuestion question, PlanDraft draft, TimingsReading timings, BlankReader blanks) => question switch
    {
        PlanQuestion.Correction => VerdictWriter.NotYet(
            blanks.Any ? blanks.Problems[0].Message : timings.Problems.First(problem => problem.Severity == ProblemSeverity.Error).Message,
            "What you typed is kept.", "one thing to put right"),
        PlanQuestion.GraphFile => VerdictWriter.NotYet("The task graph is being read.", $"{draft.GraphFileName} is kept with the plan.", "reading a file"),
        PlanQuestion.NightPlans => VerdictWriter.NotYet("The other plans of the night are being read.", "They are followed as they are saved now.", "reading plans"),
        PlanQuestion.NextDay => VerdictWriter.NotYet(
            $"The window ends at {draft.DoneBy.Trim()}, not after it starts at {draft.StartsAt.Trim()}. Is {draft.DoneBy.Trim()} the next day?",
            "", "two inputs disagree"),
        PlanQuestion.BaseTime => VerdictWriter.NotYet(
            "How long does one run take?",
            $"The paste holds {(timings.Values == TimingValues.Rates ? "rates" : "speedups")} only: give the time of the run on the fewest cores.", "one thing missing"),
        PlanQuestion.SecondCoreCount => VerdictWriter.NotYet(
            "One timing is a point, not a curve.", "It only bounds the other core counts. Add a run on a second one, the larger the better.", "one thing missing"),
        _ => VerdictWriter.NotYet(
            "How long does it take, on how many cores?", "Two timings are enough for a first answer. Paste them below, in any shape.", "one thing missing"),
    };

    /// <summary>The window, and whether the answer must wait for "is that the next day?".</summary>
    private static (BatchWindow? Window, bool NextDayAsked) Window(PlanDraft draft, BlankReader blanks)
    {
        double missOneIn = blanks.Number(nameof(PlanDraft.MissOneIn), draft.MissOneIn, 1.001, 1_000_000) ?? 20;
        double target = 1 - 1 / missOneIn;
        string end = draft.DoneBy.Trim();
        TimeOnly? start = blanks.Clock(nameof(PlanDraft.StartsAt), draft.StartsAt);
        if (end.Length == 0)
            return (null, false);

        bool isLength = DurationText.TryRead(end, 1, DecimalMark.Unknown, out DurationReading length) && length.HasUnit && length.Seconds > 0;
        bool isClock = ClockText.TryRead(end, out TimeOnly endsAt);
        // "5:00" is a time of day beside a start, and a length where there is none; so "26:00" beside one is a slip.
        bool isLikeClock = end.Count(letter => letter == ':') == 1;
        if (isLength && !(isLikeClock && (isClock || start is not null)))
            return (new BatchWindow(length.Seconds, target, start), false);
        if (isLength && !isClock)
        {
            blanks.Add(nameof(PlanDraft.DoneBy), $"\"{end}\" is no time of day. Type one up to 23:59; it may be the next day's. Or give a length, such as {Figures.Time(length.Seconds)}.");
            return (null, false);
        }

        if (!isClock)
        {
            blanks.Add(nameof(PlanDraft.DoneBy), $"\"{end}\" is neither a time of day nor a length. Type one such as 05:00 or 60 min.");
            return (null, false);
        }

        if (start is not { } from)
        {
            if (!blanks.Has(nameof(PlanDraft.StartsAt)))
                blanks.Add(nameof(PlanDraft.StartsAt), $"The window ends at {Figures.Clock(endsAt)}: when does it start? Type a time of day, or give its length instead, such as 60 min.");
            return (null, false);
        }

        double seconds = (endsAt.ToTimeSpan() - from.ToTimeSpan()).TotalSeconds;
        if (seconds > 0)
            return (new BatchWindow(seconds, target, from), false);
        return draft.EndsNextDay ? (new BatchWindow(seconds + Day, target, from), false) : (null, true);
    }

    private static Nights Nights(PlanDraft draft, BlankReader blanks)
    {
        double? oneIn = blanks.Number(nameof(PlanDraft.HeavyOneIn), draft.HeavyOneIn, 1, 1_000_000);
        double? factor = blanks.Number(nameof(PlanDraft.HeavyFactor), draft.HeavyFactor, 0.01, 1_000);
        PastNightsReading past = PastNightsReader.Read(draft.PastNights);
        blanks.Note(past.Problems.Select(problem => problem with { Path = nameof(PlanDraft.PastNights) }));
        if (!past.Values.IsEmpty)
            return Planning.Nights.OfPast(past.Values, past.AreRunTimes);
        return oneIn is { } often && factor is { } times ? new Nights(1 / often, times) : Planning.Nights.Alike;
    }

    private static ExpectedGrowth Growth(PlanDraft draft, BlankReader blanks)
    {
        double rate = blanks.Share(nameof(PlanDraft.Growth), draft.Growth, -0.99, 10) ?? 0;
        GrowthTableReading table = GrowthTableReader.Read(draft.GrowthTable);
        blanks.Note(table.Problems.Select(problem => problem with { Path = nameof(PlanDraft.GrowthTable) }));
        return new ExpectedGrowth(rate, [.. table.Points.Select(point => new GrowthPoint(point.Month, point.Factor))]);
    }

    /// <summary>The runs read, made absolute by the base time where the paste holds speedups or rates only.</summary>
    private static ImmutableArray<Timing> Scaled(PlanDraft draft, TimingsReading timings, BlankReader blanks)
    {
        if (!timings.IsRelative)
            return [.. timings.Timings.Select(read => read.Timing)];
        return blanks.Duration(nameof(PlanDraft.BaseTime), draft.BaseTime) is { } seconds
            ? [.. timings.Timings.Select(read => new Timing(read.Timing.Cores, read.Timing.Seconds * seconds, read.Timing.Sitting, read.Timing.Size))]
            : [];
    }

    private static DraftGraph? Pasted(PlanDraft draft) => draft.GraphFile.Length > 0 || string.IsNullOrWhiteSpace(draft.GraphText)
        ? null
        : new DraftGraph("", draft.GraphText, TaskGraphReader.Read(draft.GraphText));

    private static GraphJob? Graph(DraftGraph? graph, SchedulingCosts costs, BlankReader blanks)
    {
        if (graph is null)
            return null;
        if (graph.Reading.Graph is not { } tasks)
        {
            Problem wrong = graph.Reading.Problems.First(problem => problem.Severity == ProblemSeverity.Error);
            string place = wrong is { Line: { } line } ? $"Task graph, line {Figures.Count(line)}: " : "Task graph: ";
            blanks.Add(graph.File.Length > 0 ? nameof(PlanDraft.GraphFile) : nameof(PlanDraft.GraphText), place + wrong.Message);
            return null;
        }

        if (costs.StealAttemptSeconds > 0)
            return new GraphJob(tasks, costs);
        if (!blanks.Has(nameof(PlanDraft.StealAttempt)))
            blanks.Add(nameof(PlanDraft.StealAttempt), "The pool is simulated with the task graph: the time between a thief's tries has to be above 0, such as 0.2 us.");
        return null;
    }

    private static SchedulingCosts Costs(PlanDraft draft, BlankReader blanks) => new()
    {
        ForkSeconds = blanks.Duration(nameof(PlanDraft.Fork), draft.Fork, zeroIsFine: true) ?? 0,
        JoinSeconds = blanks.Duration(nameof(PlanDraft.Join), draft.Join, zeroIsFine: true) ?? 0,
        StealAttemptSeconds = blanks.Duration(nameof(PlanDraft.StealAttempt), draft.StealAttempt, zeroIsFine: true) ?? 0,
        StealSeconds = blanks.Duration(nameof(PlanDraft.Steal), draft.Steal, zeroIsFine: true) ?? 0,
    };

    private static WorkAndSpan? WorkAndSpan(PlanDraft draft, SchedulingCosts costs, BlankReader blanks)
    {
        double? work = blanks.Duration(nameof(PlanDraft.Work), draft.Work);
        double? span = blanks.Duration(nameof(PlanDraft.Span), draft.Span, zeroIsFine: true);
        long tasks = blanks.Count(nameof(PlanDraft.Tasks), draft.Tasks) ?? 1_000;
        if (work is not { } workSeconds)
            return null;
        if (span is not { } spanSeconds)
        {
            if (!blanks.Has(nameof(PlanDraft.Span)))
                blanks.Add(nameof(PlanDraft.Span), "Work is given: give the span too, the longest chain that must run in order. 0 s is fine.");
            return null;
        }

        if (spanSeconds > workSeconds)
        {
            blanks.Add(nameof(PlanDraft.Span), $"The span, {Figures.Time(spanSeconds)}, is longer than the work, {Figures.Time(workSeconds)}: it is part of it, so give a shorter one.");
            return null;
        }

        return new WorkAndSpan(workSeconds, spanSeconds, tasks, costs);
    }
}
