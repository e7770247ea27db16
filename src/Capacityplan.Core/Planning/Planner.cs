using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Stealing;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// Works a plan out: how the job scales, what each machine makes of it, and which to take. Pure and thread-safe; the same
/// plan, catalogue and settings give the same result.
/// </summary>
public static class Planner
{
    /// <summary>
    /// The heavy part: fits the job's scaling. It depends on the plan's description of the job and of the machine measured
    /// on alone, so that it can be kept while windows, prices or what-ifs change.
    /// </summary>
    /// <param name="plan">The job; timings on two core counts at least, phases, a task graph, or work and span.</param>
    /// <param name="seed">Seed of everything random.</param>
    /// <param name="progress">Told how much of it is done, from 0 to 1.</param>
    /// <param name="simulated">Simulated runs of the plan's task graph, or else of its phases, on pools of workers with a core each; null where there are none yet.</param>
    /// <param name="draws">How many curves it is made of; 10 or more. With a fifth of the usual ones it is there in half the time, its medians off
    /// by a twentieth of the band's width at most and the band's ends by a tenth, nine times in ten.</param>
    /// <param name="cancellation">Stops the work.</param>
    /// <exception cref="ArgumentException">Timings on one core count only, and no other description.</exception>
    public static ScalingForecast Scale(
        Plan plan, int seed = 1, IProgress<double>? progress = null, IReadOnlyList<SimulatedPool>? simulated = null,
        int draws = MeasuredScaling.DefaultDraws, CancellationToken cancellation = default)
    {
        ScalingForecast own = ScaleOwn(plan, seed, progress, simulated, draws, cancellation);
        return plan.SharedNight is { } night
            ? new NightScaling(
                own, plan.MeasuredOn.RelativeCoreSpeed, night, [.. night.Others.Select(job => ScaleOwn(job.Plan, seed, null, null, draws, cancellation))], seed)
            : own;
    }

    private static ScalingForecast ScaleOwn(
        Plan plan, int seed, IProgress<double>? progress, IReadOnlyList<SimulatedPool>? simulated, int draws, CancellationToken cancellation)
    {
        double CoresWorth(int cores) => plan.MeasuredOn.CoresWorth(cores, plan.SecondThreadGain);
        if (plan.Graph is { } graph)
        {
            return plan.Timings.IsEmpty
                ? new GraphScaling(graph, seed, simulated, draws, assumed: plan.Noise)
                : CalibratedScaling.Fit(graph, plan.Timings, CoresWorth, seed, simulated, draws, plan.Noise, progress, cancellation);
        }

        if (plan.Structure is { } structure)
        {
            return plan.Timings.IsEmpty
                ? new StructuredScaling(structure, seed, simulated, draws, assumed: plan.Noise)
                : CalibratedScaling.Fit(structure, plan.Timings, CoresWorth, seed, simulated, draws, plan.Noise, progress, cancellation);
        }

        if (plan.HasCurve)
            return MeasuredScaling.Fit(plan.Timings, CoresWorth, seed, draws, plan.Noise, progress, cancellation);
        return plan.WorkAndSpan is { } stated
            ? new StatedScaling(stated, seed, draws, assumed: plan.Noise)
            : throw new ArgumentException("One core count is a point, not a curve: add a run on another, or describe the job's phases, its tasks, or its work and span.", nameof(plan));
    }

    /// <summary>True where two plans describe the same job in the same words, so that what <see cref="Scale"/> gave for one serves the other.</summary>
    public static bool ScalesAlike(Plan one, Plan other) =>
        SameNight(one, other) && ScalesAlikeAlone(one, other);

    private static bool ScalesAlikeAlone(Plan one, Plan other) =>
        one.Timings.SequenceEqual(other.Timings) && one.WorkAndSpan == other.WorkAndSpan
        && PhasesOf(one).SequenceEqual(PhasesOf(other)) && one.Graph == other.Graph
        && one.Noise == other.Noise && one.MeasuredOn.PhysicalCores == other.MeasuredOn.PhysicalCores && one.SecondThreadGain == other.SecondThreadGain;

    private static bool SameNight(Plan one, Plan other)
    {
        if (one.SharedNight is not { } night || other.SharedNight is not { } otherNight)
            return one.SharedNight is null && other.SharedNight is null;
        return night.MayShareCores == otherNight.MayShareCores
            && one.MeasuredOn.RelativeCoreSpeed == other.MeasuredOn.RelativeCoreSpeed
            && night.Others.Length == otherNight.Others.Length
            && night.After.Zip(otherNight.After).All(after => after.First.SequenceEqual(after.Second))
            && night.Others.Zip(otherNight.Others).All(jobs =>
                jobs.First.Plan.Name == jobs.Second.Plan.Name && jobs.First.Plan.MeasuredOn.RelativeCoreSpeed == jobs.Second.Plan.MeasuredOn.RelativeCoreSpeed
                && jobs.First.Plan.InputFactor == jobs.Second.Plan.InputFactor && ScalesAlikeAlone(jobs.First.Plan, jobs.Second.Plan));
    }

    private static IEnumerable<Phase> PhasesOf(Plan plan) => plan.Structure?.Phases ?? [];

    /// <summary>Works a plan out.</summary>
    /// <param name="plan">The job and what is asked of it.</param>
    /// <param name="catalogue">The machines to choose from; may be empty.</param>
    /// <param name="settings">How.</param>
    /// <param name="scaling">What <see cref="Scale"/> gave for the same job and seed; worked out where null.</param>
    /// <param name="before">What was last worked out, if anything was: what it says of the same curves is taken from it.</param>
    /// <param name="first">Told the result once nothing but <see cref="PlanResult.Outlook"/> is still to come.</param>
    /// <param name="cancellation">Stops the work.</param>
    public static PlanResult Evaluate(
        Plan plan, Catalogue catalogue, PlannerSettings settings, ScalingForecast? scaling = null, PlanResult? before = null,
        Action<PlanResult>? first = null, CancellationToken cancellation = default)
    {
        scaling ??= Scale(plan, settings.Seed, cancellation: cancellation);
        var runs = new List<MachineRun>();
        var offers = new List<Offer>();
        var machineRuns = new MachineRuns(plan, scaling);
        machineRuns.Prepare(catalogue.Machines, settings.BandShare, cancellation);
        var maker = new OfferMaker(plan, scaling, catalogue, settings);
        foreach (MachineType machine in catalogue.Machines)
        {
            cancellation.ThrowIfCancellationRequested();
            MachineRun run = machineRuns.On(machine);
            runs.Add(run);
            offers.AddRange(maker.Of(run));
        }

        ImmutableArray<Offer> priced = Ranking.Rank(offers);
        Offer? choice = priced.FirstOrDefault(offer => offer.Outcome.MeetsTarget && offer.Comparable);
        Offer? nextFaster = choice is null
            ? null
            : priced.FirstOrDefault(offer => offer.Outcome.MeetsTarget && offer.Outcome.OnFrontier && offer.MedianSeconds < choice.MedianSeconds);
        Offer? runnerUp = choice is null ? null : priced.FirstOrDefault(offer => offer.Outcome.MeetsTarget && offer.Comparable && offer != choice);
        ImmutableArray<Offer> ranked = priced;
        priced = Reasons.Give(priced, choice, nextFaster, plan);
        double largest = runs.Count > 0 ? runs.Max(run => run.EffectiveCores) : 1;
        int? adviseAt = settings.AdviseForChoice && choice is not null
            ? (int)Ceiling(choice.Run.EffectiveCores)
            : settings.Cores.IsEmpty ? null : settings.Cores.Max();
        PlanResult? alone = scaling is NightScaling { Own: { } own }
            ? Evaluate(plan with { SharedNight = null }, catalogue, settings, own, before?.Alone, cancellation: cancellation)
            : null;
        var asked = ForecastOrder.Of(plan, scaling, settings, largest, adviseAt);
        Forecast forecast = null!;
        double? stays = null;
        // Neither depends on the other, and a person waits for both.
        Parallel.Invoke(
            new ParallelOptions { CancellationToken = cancellation },
            () => forecast = alone is not null ? ForecastBuilder.OfNight(alone.Forecast, plan, scaling)
                : asked == before?.ForecastOrder ? before.Forecast
                : ForecastBuilder.Build(plan, scaling, settings, largest, adviseAt),
            () => stays = choice is null || plan.Window is null ? null : SteadyChoice.ShareOf(ranked, choice, plan.Window, cancellation));
        cancellation.ThrowIfCancellationRequested();
        choice = choice is null ? null : priced.First(offer => offer.Run == choice.Run && offer.Outcome.Purchase == choice.Outcome.Purchase);

        Verdict verdict = VerdictWriter.Write(plan, forecast, priced, choice, stays);
        NightSchedule? night = scaling is NightScaling shared && priced.FirstOrDefault(offer => offer.Outcome == verdict.Choice) is { } shown
            ? NightOn(shared, shown.Run)
            : null;

        var result = new PlanResult
        {
            Alone = alone is null ? null : On(alone, verdict.Choice),
            NightOnChoice = night,
            Plan = plan,
            Seed = settings.Seed,
            Forecast = forecast,
            ForecastOrder = asked,
            Machines = [.. priced.Select(offer => offer.Outcome)],
            Verdict = verdict,
            NextFaster = Find(nextFaster),
            RunnerUp = Find(runnerUp),
            ShareChoiceStays = stays,
            BreakEvens = BreakEvens.Of([.. priced.Where(offer => offer.IsAble).Select(offer => offer.Outcome)], verdict.Choice, plan),
            Problems = alone is null
                ? Doubts.Of(plan, forecast, scaling, choice?.Outcome, catalogue, maker.Currency)
                : [Doubts.OfNight(plan, night), .. alone.Problems],
        };
        first?.Invoke(result);
        return settings.SimulateNextRuns && plan.Window is { } window && !scaling.Groups.IsEmpty
            ? result with { Outlook = OutlookOf(scaling, priced, choice, window, forecast.NextMeasurement?.Cores ?? adviseAt, cancellation) }
            : result;

        MachineOutcome? Find(Offer? offer) =>
            offer is null ? null : priced.First(other => other.Run == offer.Run && other.Outcome.Purchase == offer.Outcome.Purchase).Outcome;
    }

    /// <summary>What one and two more runs would do to the choice, on the core count worth measuring, or as near to the target
    /// as people can measure where none is.</summary>
    private static MeasurementOutlook? OutlookOf(
        ScalingForecast scaling, ImmutableArray<Offer> priced, Offer? choice, BatchWindow window, int? cores, CancellationToken cancellation)
    {
        var simulation = new OutlookSimulation(priced, choice, window);
        if (!simulation.HasChoice)
            return null;
        int measured = scaling.Groups[^1].Cores;
        int next = Min(cores ?? measured, measured * MeasurementAdvice.FarthestTimes);
        return new MeasurementOutlook(
            next, simulation.ShareStays(scaling, next, 1, cancellation), simulation.ShareStays(scaling, next, 2, cancellation));
    }

    /// <summary>The job by itself, on the machine chosen for the whole night.</summary>
    private static PlanResult On(PlanResult alone, MachineOutcome? choice)
    {
        MachineOutcome? same = choice is null ? null : alone.Machines.FirstOrDefault(outcome => outcome.Machine == choice.Machine && outcome.Purchase == choice.Purchase);
        return alone with { Verdict = alone.Verdict with { Choice = same } };
    }

    /// <summary>The night's usual schedule on a machine, in its own seconds.</summary>
    private static NightSchedule NightOn(NightScaling night, MachineRun run)
    {
        double factor = run.Plan.InputFactor * run.Plan.MeasuredOn.RelativeCoreSpeed / run.Machine.RelativeCoreSpeed;
        return new NightSchedule([.. night.ScheduleOn(run.EffectiveCores).Runs.Select(one => one with { StartSeconds = one.StartSeconds * factor, EndSeconds = one.EndSeconds * factor })]);
    }
}
