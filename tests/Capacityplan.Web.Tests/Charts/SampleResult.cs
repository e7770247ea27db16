using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Tests.Charts;

/// <summary>
/// A finished plan made by hand from one formula, so that what a chart shows can be told without the planner: the demo's
/// night tiles, T(p) = 381/p + 6.8 + 3.3 (1 - 1/p) + 0.15 log2 p minutes, with a band of 5 % either side.
/// </summary>
internal static class SampleResult
{
    public const double SpanSeconds = 12.3 * 60;
    public const double WorkSeconds = 387 * 60;

    public static readonly ImmutableArray<Timing> Timings =
        [new(1, 23_280), new(2, 11_800), new(2, 12_030), new(4, 6_246), new(4, 6_350), new(6, 4_420), new(8, 3_410), new(8, 3_516)];

    /// <summary>Run time on p cores' worth at the speed measured on, seconds.</summary>
    public static double Seconds(double cores) => 60 * (381 / cores + 6.8 + 3.3 * (1 - 1 / cores) + 0.15 * Math.Log2(cores));

    public static ForecastPoint Point(double cores)
    {
        double median = Seconds(cores), one = Seconds(1);
        Band seconds = new(median, median * 0.95, median * 1.05);
        return new(
            cores, seconds, new(one / median, one / seconds.High, one / seconds.Low), one / median / cores,
            Math.Max(WorkSeconds / cores, SpanSeconds), (WorkSeconds - SpanSeconds) / cores + SpanSeconds,
            cores < WorkSeconds / SpanSeconds - 1 ? Limit.Work : Limit.Span);
    }

    public static Forecast Forecast(int pointsPerDoubling = 4, double to = 128) => new()
    {
        Basis = ForecastBasis.Timings,
        MeasuredUpToCores = 8,
        WorkSeconds = WorkSeconds,
        SpanSeconds = SpanSeconds,
        SerialFraction = SpanSeconds / WorkSeconds,
        RunToRunNoise = 0.02,
        BandShare = 0.8,
        Points = [.. new double[] { 1, 2, 4, 8, 16, 32, 64, 128 }.Where(cores => cores <= to).Select(Point)],
        Curve = [.. Enumerable.Range(0, (int)(Math.Log2(to) * pointsPerDoubling) + 1).Select(step => Point(Math.Pow(2, (double)step / pointsPerDoubling)))],
        Measured =
        [
            new(1, 1, 23_280, 1, null, 0), new(2, 2, 11_915, 2, 0.02, 0), new(4, 4, 6_298, 2, 0.02, 0), new(6, 6, 4_420, 1, null, 0), new(8, 8, 3_463, 2, 0.03, 0),
        ],
        Models = [new("phases", "a/p + b", 1, ImmutableSortedDictionary<string, double>.Empty)],
        Limits = [new(Limit.Work, 1, 24), new(Limit.Span, 24, null)],
        SpanBindsFromCores = WorkSeconds / SpanSeconds - 1,
        NextMeasurement = null,
    };

    public static MachineType Machine(string name, int threads, int cores, double speed, double memory, double startUp, decimal perHour, string currency = "EUR") => new()
    {
        Name = name,
        HardwareThreads = threads,
        PhysicalCores = cores,
        RelativeCoreSpeed = speed,
        MemoryGiB = memory,
        StartUpSeconds = startUp,
        Purchase = [new MeteredPurchase { Currency = currency, PricePerHour = perHour, MinimumSeconds = 60 }],
    };

    /// <summary>The demo's catalogue, all invented.</summary>
    public static readonly ImmutableArray<MachineType> Catalogue =
    [
        Machine("Wren-4", 4, 4, 0.85, 16, 45, 0.39m), Machine("Wren-8", 8, 8, 0.85, 32, 45, 0.78m), Machine("Wren-16", 16, 16, 0.85, 64, 45, 1.57m),
        Machine("Wren-32", 32, 32, 0.85, 128, 45, 3.14m), Machine("Heron-8", 8, 4, 1.22, 32, 45, 0.75m), Machine("Heron-16", 16, 8, 1.22, 64, 45, 1.50m),
        Machine("Heron-32", 32, 16, 1.22, 128, 45, 3.01m), Machine("Heron-64", 64, 32, 1.22, 256, 45, 6.02m), Machine("Crane-48", 48, 24, 1.12, 384, 180, 3.89m),
        Machine("Crane-96", 96, 48, 1.12, 768, 180, 7.78m), Machine("Crane-192", 192, 96, 1.12, 1536, 180, 15.55m),
    ];

    /// <summary>The whole plan: Heron-16 holds a window of 60 min.</summary>
    public static PlanResult Whole(
        double? windowSeconds = 3600, IEnumerable<MachineType>? machines = null, Forecast? forecast = null, double heavyShare = 1 / 14.0, double needsGiB = 24)
    {
        Forecast scaling = forecast ?? Forecast();
        var plan = new Plan(Timings)
        {
            Name = "Night tiles",
            Window = windowSeconds is { } length ? new BatchWindow(length, 0.95, new TimeOnly(4, 0)) : null,
            Nights = new(heavyShare, 1.45),
            MemoryGiB = needsGiB,
        };
        List<MachineOutcome> outcomes = [.. (machines ?? Catalogue).Select(machine => Outcome(machine, plan))];
        outcomes =
        [
            .. outcomes
                .Select(outcome => outcome with { OnFrontier = outcome.Fits && !outcomes.Any(other => other.Fits && IsBetter(other, outcome)) })
                .OrderBy(outcome => !outcome.Fits)
                .ThenBy(outcome => outcome.CostPerRun),
        ];
        MachineOutcome? held = outcomes.FirstOrDefault(outcome => outcome.MeetsTarget);
        MachineOutcome? choice = windowSeconds is null ? null : held ?? outcomes.Where(outcome => outcome.Fits).MaxBy(outcome => outcome.ChanceInWindow);
        return new PlanResult
        {
            Plan = plan,
            Seed = 1,
            Forecast = scaling,
            Machines = [.. outcomes],
            Verdict = new Verdict
            {
                State = choice is null ? VerdictState.NotYet : held is null ? VerdictState.Misses : VerdictState.Holds,
                Choice = choice,
                Parts = [],
                BriefParts = [],
                Then = "",
                StateNote = "",
            },
            NextFaster = held is null
                ? null
                : outcomes.FirstOrDefault(outcome => outcome.MeetsTarget && outcome.OnFrontier && outcome.StartToFinishSeconds.Median < held.StartToFinishSeconds.Median),
            RunnerUp = null,
            ShareChoiceStays = null,
            Problems = [],
        };
    }

    private static bool IsBetter(MachineOutcome other, MachineOutcome outcome) =>
        other.CostPerRun < outcome.CostPerRun && other.StartToFinishSeconds.Median < outcome.StartToFinishSeconds.Median;

    private static MachineOutcome Outcome(MachineType machine, Plan plan)
    {
        double cores = machine.EffectiveCores(plan.SecondThreadGain);
        double median = Seconds(cores) / machine.RelativeCoreSpeed;
        Band run = new(median, median * 0.95, median * 1.05);
        Band whole = run.Plus(machine.StartUpSeconds);
        bool fits = machine.MemoryGiB >= plan.MemoryGiB;
        bool alike = plan.Nights.HeavyShare is 0;
        double? chance = plan.Window is { } window ? Math.Clamp(0.5 + (window.Seconds - whole.Median) / window.Seconds * 2, 0, 1) : null;
        decimal cost = machine.Purchase[0].CostOfRun(machine, 30.4, whole.Median);
        return new MachineOutcome
        {
            Machine = machine,
            Purchase = machine.Purchase[0],
            Fits = fits,
            EffectiveCores = cores,
            TimesPastMeasured = cores / 8,
            RunSeconds = run,
            StartToFinishSeconds = whole,
            HeavyStartToFinishSeconds = alike ? null : run.Times(1.42).Plus(machine.StartUpSeconds),
            ChanceInWindow = chance,
            ChanceOnOrdinaryNights = chance,
            ChanceOnHeavyNights = alike ? null : chance,
            CostPerRun = cost,
            CostPerMonth = cost * 30.4m,
            OnFrontier = false,
            MeetsTarget = fits && chance >= 0.95,
            LargestInputFactor = null,
            MonthsUntilMissed = null,
            Why = null,
        };
    }
}
