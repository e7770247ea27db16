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
        Console.WriteLine("                                          median ms    max ms");
        Measure("Planner.Scale, 50 rows", () => Planner.Scale(fifty));
        Measure($"Planner.Scale, the demo's {plan.Timings.Length} rows", () => Planner.Scale(plan));
        ScalingForecast scaling = Planner.Scale(plan);
        var settings = new PlannerSettings { AdviseForChoice = true };
        Measure($"Planner.Evaluate, {demo.Catalogue.Machines.Length} machines", () => Planner.Evaluate(plan, demo.Catalogue, settings, scaling));
        Catalogue large = FourWays(demo.Catalogue, machines: 500);
        Measure($"Planner.Evaluate, {large.Machines.Length} machines x 4 ways", () => Planner.Evaluate(plan, large, settings, scaling));
        var quick = new PlannerSettings { SimulateNextRuns = false, Cores = [16] };
        Measure("the same, without the next runs", () => Planner.Evaluate(plan, large, quick, scaling));
        return 0;
    }

    /// <summary>The demo's machines over and over, each a little different and offered in four invented ways.</summary>
    private static Catalogue FourWays(Catalogue catalogue, int machines) => new()
    {
        Name = "four ways",
        Machines =
        [
            .. Enumerable.Range(0, machines).Select(at =>
            {
                MachineType machine = catalogue.Machines[at % catalogue.Machines.Length];
                double faster = 1 + 0.001 * at;
                decimal price = ((HourlyPurchase)machine.Purchase[0]).PricePerHour * (decimal)faster;
                return machine with
                {
                    Name = $"{machine.Name} {at}",
                    RelativeCoreSpeed = machine.RelativeCoreSpeed * faster,
                    Purchase =
                    [
                        new MeteredPurchase { Currency = "EUR", PricePerHour = price },
                        new TermPurchase { Currency = "EUR", PricePerMonth = 400 * price, Months = 12 },
                        new InterruptiblePurchase { Currency = "EUR", PricePerHour = 0.4m * price, InterruptionsPerHour = 0.05 + 0.001 * at, RestartSeconds = 90 },
                        new InterruptiblePurchase { Currency = "EUR", PricePerHour = 0.4m * price, InterruptionsPerHour = 0.2 + 0.001 * at, RestartSeconds = 90, CheckpointSeconds = 20 },
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
        Console.WriteLine("                                          median ms    max ms");
        Measure("WhatIf.Evaluate, all levers", () =>
            new WhatIf { Work = 1.1, Span = 0.5, Overhead = 2, Grain = 10 }.Evaluate(plan, demo.Catalogue, new PlannerSettings { Cores = [] }, scaling));
        Measure("GrowthOutlook, three years", () => GrowthOutlook.Of(result, scaling));
        Measure("Sensitivity", () => Sensitivity.Of(result, scaling)!);
        return 0;
    }

    private static void Measure(string name, Func<object> work)
    {
        var times = new List<double>();
        for (int run = 0; run < Unmeasured + Runs; run++)
        {
            long started = Stopwatch.GetTimestamp();
            GC.KeepAlive(work());
            if (run >= Unmeasured)
                times.Add(Stopwatch.GetElapsedTime(started).TotalMilliseconds);
        }

        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{name,-42}{times.Median(),9:0.0}  {times.Max(),8:0.0}"));
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
