using System.Collections.Immutable;
using System.Diagnostics;
using System.Globalization;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using MathNet.Numerics.Statistics;

namespace Capacityplan.Benchmarks;

/// <summary>Measures the two steps of an answer without the web around them: the fit, and pricing the machines with it.</summary>
internal static class FitTimes
{
    private const int Runs = 40;
    private const int Unmeasured = 10;

    public static int Run()
    {
        DemoData demo = DemoData.Load();
        Plan plan = PlanDraftReader.Read(demo.Plan).Plan!;
        Plan fifty = new(FiftyRuns());
        Heading();
        Measure("Planner.Scale, 50 rows", () => Planner.Scale(fifty));
        Measure($"Planner.Scale, the demo's {plan.Timings.Length} rows", () => Planner.Scale(plan));
        ScalingForecast scaling = Planner.Scale(plan);
        var settings = new PlannerSettings { AdviseForChoice = true };
        Measure($"Planner.Evaluate, {demo.Catalogue.Machines.Length} machines", () => Planner.Evaluate(plan, demo.Catalogue, settings, scaling));
        Catalogue large = FourWays(demo.Catalogue, machines: 500, coreCounts: 40);
        Measure($"Planner.Evaluate, {large.Machines.Length} machines x 4 ways", () => Planner.Evaluate(plan, large, settings, scaling));
        var quick = new PlannerSettings { SimulateNextRuns = false, Cores = [16] };
        Measure("the same, without the next runs", () => Planner.Evaluate(plan, large, quick, scaling));
        // Machines of as many cores' worth share the job's runs on them; here none does.
        Catalogue apart = FourWays(demo.Catalogue, machines: 500, coreCounts: 500);
        Measure("the same, no two of as many cores' worth", () => Planner.Evaluate(plan, apart, settings, scaling));
        return 0;
    }

    /// <summary>
    /// Machines no two of which are alike, each offered in four invented ways: every one has its own speed, price, how often it is
    /// interrupted and how long a checkpoint takes; start-ups, restarts and core counts come again and again, as in any long list.
    /// </summary>
    private static Catalogue FourWays(Catalogue catalogue, int machines, int coreCounts) => new()
    {
        Name = "four ways",
        Machines =
        [
            .. Enumerable.Range(0, machines).Select(at =>
            {
                MachineType machine = catalogue.Machines[at % catalogue.Machines.Length];
                double faster = 1 + 0.001 * at;
                int cores = 2 + at % coreCounts * 128 / Math.Min(coreCounts, 128);
                decimal price = ((HourlyPurchase)machine.Purchase[0]).PricePerHour * cores / machine.PhysicalCores * (decimal)faster;
                return machine with
                {
                    Name = $"{machine.Name} {at}",
                    PhysicalCores = cores,
                    HardwareThreads = at % 2 == 0 ? cores : 2 * cores,
                    RelativeCoreSpeed = machine.RelativeCoreSpeed * faster,
                    StartUpSeconds = machine.StartUpSeconds + 5 * (at % 17),
                    Purchase =
                    [
                        new MeteredPurchase { Currency = "EUR", PricePerHour = price },
                        new TermPurchase { Currency = "EUR", PricePerMonth = 400 * price, Months = 12 },
                        new InterruptiblePurchase { Currency = "EUR", PricePerHour = 0.4m * price, InterruptionsPerHour = 0.05 + 0.001 * at, RestartSeconds = 90 + at % 13 },
                        new InterruptiblePurchase { Currency = "EUR", PricePerHour = 0.4m * price, InterruptionsPerHour = 0.2 + 0.001 * at, RestartSeconds = 90 + at % 13, CheckpointSeconds = 20 + 0.01 * at },
                    ],
                };
            }),
        ],
    };

    /// <summary>What is worked out after an answer: growth and sensitivity; and a what-if, which comes with it.</summary>
    public static int Outlook()
    {
        DemoData demo = DemoData.Load();
        Plan plan = PlanDraftReader.Read(demo.Plan).Plan!;
        ScalingForecast scaling = Planner.Scale(plan);
        PlanResult result = Planner.Evaluate(plan, demo.Catalogue, new PlannerSettings(), scaling);
        Heading();
        Measure("WhatIf.Evaluate, all levers", () =>
            new WhatIf { Work = 1.1, Span = 0.5, Overhead = 2, Grain = 10 }.Evaluate(plan, demo.Catalogue, new PlannerSettings { Cores = [] }, scaling));
        Measure("GrowthOutlook, three years", () => GrowthOutlook.Of(result, scaling));
        Measure("Sensitivity", () => Sensitivity.Of(result, scaling)!);
        return 0;
    }

    private static void Heading() => Console.WriteLine($"{"",-42}median ms    max ms   median ms of processor");

    private static void Measure(string name, Func<object> work)
    {
        var times = new List<double>();
        // Other programs on the machine lengthen the clock's time, but hardly the processor's.
        var processor = new List<double>();
        for (int run = 0; run < Unmeasured + Runs; run++)
        {
            TimeSpan before = Environment.CpuUsage.TotalTime;
            long started = Stopwatch.GetTimestamp();
            GC.KeepAlive(work());
            if (run < Unmeasured)
                continue;
            times.Add(Stopwatch.GetElapsedTime(started).TotalMilliseconds);
            processor.Add((Environment.CpuUsage.TotalTime - before).TotalMilliseconds);
        }

        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{name,-42}{times.Median(),9:0.0}  {times.Max(),8:0.0}   {processor.Median(),9:0.0}"));
    }

    /// <summary>Five runs on each of ten core counts, a few per cent apart.</summary>
    private static ImmutableArray<Timing> FiftyRuns()
    {
        var random = new Random(1);
        return
        [
            .. from cores in (int[])[1, 2, 3, 4, 6, 8, 12, 16, 24, 32]
               from repeat in Enumerable.Range(0, 5)
               select new Timing(cores, (900.0 / cores + 40 + 0.3 * cores) * (0.97 + 0.06 * random.NextDouble())),
        ];
    }
}
