using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Core.Tests.Planning;

/// <summary>The demo's invented job and catalogue, for tests of the way from timings to a verdict.</summary>
internal static class TidemarkJob
{
    public static ImmutableArray<Timing> Timings { get; } =
    [
        new(1, 23_280), new(2, 11_800), new(2, 12_030), new(4, 6_246), new(4, 6_350), new(6, 4_420), new(8, 3_410), new(8, 3_516),
    ];

    public static Plan Plan { get; } = new(Timings)
    {
        Name = "Night tiles",
        MeasuredOn = new MeasuredOn { PhysicalCores = 8 },
        Window = new BatchWindow(3600, 0.95, new TimeOnly(4, 0)),
        Nights = new Nights(1.0 / 14, 1.45),
        GrowthPerMonth = 0.01,
        MemoryGiB = 24,
    };

    public static Catalogue Catalogue { get; } = new()
    {
        Name = "Tidemark",
        PricesOf = new DateOnly(2026, 11, 3),
        PricesAreInvented = true,
        Machines =
        [
            Machine("Wren-2", 2, 2, 0.85, 8, 45, 0.20m), Machine("Wren-4", 4, 4, 0.85, 16, 45, 0.39m), Machine("Wren-8", 8, 8, 0.85, 32, 45, 0.78m),
            Machine("Wren-16", 16, 16, 0.85, 64, 45, 1.57m), Machine("Wren-32", 32, 32, 0.85, 128, 45, 3.14m),
            Machine("Heron-8", 8, 4, 1.22, 32, 45, 0.75m), Machine("Heron-16", 16, 8, 1.22, 64, 45, 1.50m),
            Machine("Heron-32", 32, 16, 1.22, 128, 45, 3.01m), Machine("Heron-64", 64, 32, 1.22, 256, 45, 6.02m),
            Machine("Crane-48", 48, 24, 1.12, 384, 180, 3.89m), Machine("Crane-96", 96, 48, 1.12, 768, 180, 7.78m),
            Machine("Crane-192", 192, 96, 1.12, 1536, 180, 15.55m),
        ],
    };

    public static MachineType Machine(
        string name, int threads, int cores, double speed, double memoryGiB, double startUpSeconds, decimal pricePerHour, string currency = "EUR") => new()
        {
            Name = name,
            HardwareThreads = threads,
            PhysicalCores = cores,
            RelativeCoreSpeed = speed,
            MemoryGiB = memoryGiB,
            StartUpSeconds = startUpSeconds,
            Purchase = [new MeteredPurchase { PricePerHour = pricePerHour, Currency = currency, IncrementSeconds = 1, MinimumSeconds = 60 }],
        };
}
