using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Stealing;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// A question put to a plan without altering it: what if the span were half, the tasks ten times as coarse, the input
/// double? Every lever at its default leaves the base as it is.
/// </summary>
/// <remarks>What each lever does to a curve is said at <see cref="LeveredScaling"/>.</remarks>
public sealed record WhatIf
{
    /// <summary>Input, times the base; above 0.</summary>
    public double Input { get; init => field = Require.Positive(value, nameof(Input)); } = 1;

    /// <summary>Work T1, times the base, the span staying; above 0.</summary>
    public double Work { get; init => field = Require.Positive(value, nameof(Work)); } = 1;

    /// <summary>Span T_inf, times the base, the work staying; 0 or more.</summary>
    public double Span { get; init => field = Require.NotNegative(value, nameof(Span)); } = 1;

    /// <summary>Split size, times the base; above 0. It needs phases, or work and span with a number of tasks; see <see cref="CanSplit"/>.</summary>
    public double Grain { get; init => field = Require.Positive(value, nameof(Grain)); } = 1;

    /// <summary>What forks, joins, steals and workers in each other's way take, times the base; 0 or more.</summary>
    public double Overhead { get; init => field = Require.NotNegative(value, nameof(Overhead)); } = 1;

    /// <summary>All prices, times the base; from 0 to 1,000.</summary>
    public double Price { get; init => field = Require.Within(value, 0, 1_000, nameof(Price)); } = 1;

    /// <summary>The most workers it runs on; 1 or more, null for every thread of a machine.</summary>
    public int? MostWorkers { get; init; }

    /// <summary>Length of the window, seconds; above 0, null for the base's.</summary>
    public double? WindowSeconds
    {
        get;
        init => field = value is { } known ? Require.Positive(known, nameof(WindowSeconds)) : null;
    }

    /// <summary>True where it leaves the base as it is.</summary>
    public bool IsBase => this == new WhatIf();

    /// <summary>True where a plan says enough of its tasks for another split size to mean something.</summary>
    public static bool CanSplit(Plan plan) => plan.Graph is null && (plan.Structure?.Phases.Any(phase => phase is ParallelPhase) ?? plan.WorkAndSpan is not null);

    /// <summary>The plan it makes of the base.</summary>
    public Plan Of(Plan plan) => plan with
    {
        InputFactor = plan.InputFactor * Input,
        PriceFactor = plan.PriceFactor * Price,
        MostWorkers = MostWorkers ?? plan.MostWorkers,
        Window = WindowSeconds is { } seconds
            ? new BatchWindow(seconds, plan.Window?.TargetChance ?? 0.95, plan.Window?.StartsAt)
            : plan.Window,
    };

    /// <summary>The curves it makes of the base's.</summary>
    /// <param name="plan">The base.</param>
    /// <param name="scaling">How the base scales.</param>
    public ScalingForecast Of(Plan plan, ScalingForecast scaling)
    {
        CurveLevers? split = Grain != 1 && CanSplit(plan) ? Split(plan, scaling) : null;
        return Work == 1 && Span == 1 && Overhead == 1 && split is null
            ? scaling
            : new LeveredScaling(scaling, (split ?? new CurveLevers()) with { Work = Work, Span = Span, Overhead = Overhead });
    }

    /// <summary>Works the question out.</summary>
    /// <param name="plan">The base.</param>
    /// <param name="catalogue">The machines to choose from.</param>
    /// <param name="settings">How.</param>
    /// <param name="scaling">How the base scales.</param>
    /// <param name="cancellation">Stops the work.</param>
    public PlanResult Evaluate(
        Plan plan, Catalogue catalogue, PlannerSettings settings, ScalingForecast scaling, CancellationToken cancellation = default) =>
        Planner.Evaluate(Of(plan), catalogue, settings, Of(plan, scaling), cancellation: cancellation);

    private CurveLevers Split(Plan plan, ScalingForecast scaling)
    {
        if (plan.Structure is { } structure)
        {
            var before = new StructureCurve(structure);
            var after = new StructureCurve(new JobStructure(structure.Phases.Select(Resplit)));
            Calibration? calibration = (scaling as CalibratedScaling)?.Calibration;
            double work = calibration?.WorkFactor.Median ?? 1, pool = calibration?.OverheadFactor.Median ?? 1;
            CurveParts Added(double cores)
            {
                StructureParts was = before.At(cores), becomes = after.At(cores);
                return new CurveParts(work * (becomes.Useful - was.Useful), work * (becomes.Waiting - was.Waiting), pool * (becomes.Overhead - was.Overhead));
            }

            return new CurveLevers(Added: Added, AddedSpanSeconds: work * (after.SpanSeconds - before.SpanSeconds));
        }

        WorkAndSpan job = plan.WorkAndSpan!;
        long tasks = (long)Clamp(Round(job.Tasks / Grain), 1, RangeTree.MostUnits);
        // A piece is run by one worker: no chain is shorter than a piece of average length.
        double span = Max(job.SpanSeconds, job.WorkSeconds / tasks);
        var other = new WorkAndSpan(job.WorkSeconds, span, tasks, job.Costs);
        CurveParts Difference(double cores)
        {
            double waiting = (span - job.SpanSeconds) * (1 - 1 / cores);
            double all = StealOverhead.ExpectedSeconds(other, cores).Seconds - StealOverhead.ExpectedSeconds(job, cores).Seconds;
            return new CurveParts(0, waiting, all - waiting);
        }

        return new CurveLevers(Added: Difference, AddedSpanSeconds: span - job.SpanSeconds);
    }

    private Phase Resplit(Phase phase) => phase is ParallelPhase parallel
        ? new ParallelPhase(
            parallel.Name, parallel.Units, parallel.UnitSizes, (long)Clamp(Round(parallel.Grain * Grain), 1, parallel.Units), parallel.Costs, parallel.BytesPerUnit)
        : phase;
}

/// <summary>A what-if that is kept with its plan.</summary>
/// <param name="Name">What its owner calls it.</param>
/// <param name="Levers">What it asks.</param>
public sealed record NamedWhatIf(string Name, WhatIf Levers);
