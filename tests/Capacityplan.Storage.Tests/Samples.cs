using System.Collections.Immutable;
using System.Reflection;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Storage.Tests;

/// <summary>Things to store.</summary>
internal static class Samples
{
    /// <summary>A draft with a text of its own in every field, so that one left out or swapped is seen.</summary>
    public static PlanDraft EveryField()
    {
        var draft = new PlanDraft();
        Fill(draft, "");
        return draft;
    }

    /// <summary>A phase likewise.</summary>
    private static PhaseDraft EveryFieldOfAPhase(int number)
    {
        var draft = new PhaseDraft();
        Fill(draft, $"{number} ");
        return draft;
    }

    /// <summary>A what-if likewise.</summary>
    private static WhatIfDraft EveryFieldOfAWhatIf(int number)
    {
        var draft = new WhatIfDraft();
        Fill(draft, $"{number} ");
        return draft;
    }

    /// <summary>A job of a night likewise.</summary>
    private static NightJobDraft EveryFieldOfANightJob(int number)
    {
        var draft = new NightJobDraft();
        Fill(draft, $"{number} ");
        return draft;
    }

    private static void Fill(object draft, string mark)
    {
        foreach (PropertyInfo property in draft.GetType().GetProperties().Where(property => property.CanWrite))
        {
            object value = property.PropertyType switch
            {
                Type type when type == typeof(string) => $"{mark}{property.Name}: 58,6 min\t\"é\" \r\n\0 日本 😀 <b>",
                // The other one than a new draft has.
                Type type when type == typeof(bool) => !(bool)property.GetValue(draft)!,
                Type type when type == typeof(Guid?) => Guid.NewGuid(),
                Type type when type == typeof(WorkFormula) => WorkFormula.TimesLogarithm,
                Type type when type == typeof(UnitDistribution) => UnitDistribution.BoundedPareto,
                Type type when type == typeof(WhatIfDraft) => EveryFieldOfAWhatIf(0),
                Type type when type == typeof(ImmutableArray<WhatIfDraft>) => (ImmutableArray<WhatIfDraft>)[EveryFieldOfAWhatIf(1), EveryFieldOfAWhatIf(2)],
                Type type when type == typeof(ImmutableArray<PhaseDraft>) => (ImmutableArray<PhaseDraft>)[EveryFieldOfAPhase(1), EveryFieldOfAPhase(2)],
                Type type when type == typeof(ImmutableArray<NightJobDraft>) => (ImmutableArray<NightJobDraft>)[EveryFieldOfANightJob(1), EveryFieldOfANightJob(2)],
                Type type => throw new NotSupportedException($"{draft.GetType().Name}.{property.Name} is a {type}; say here what to store in it."),
            };
            property.SetValue(draft, value);
        }
    }

    public static Catalogue TwoMachines(string name = "Birds") => new()
    {
        Name = name,
        PricesOf = new DateOnly(2026, 11, 3),
        PricesAreInvented = true,
        Machines =
        [
            new MachineType
            {
                Name = "Wren-2",
                HardwareThreads = 2,
                PhysicalCores = 1,
                RelativeCoreSpeed = 0.85,
                MemoryGiB = 8.5,
                MemoryBandwidthGBps = 20.5,
                StartUpSeconds = 45,
                Purchase =
                [
                    new MeteredPurchase { Currency = "EUR", PricePerHour = 0.20m, IncrementSeconds = 60, MinimumSeconds = 120 },
                    new MeteredPurchase { Currency = "USD", PricePerHour = 0.123456789012345678m },
                ],
            },
            new MachineType
            {
                Name = "Heron-8",
                HardwareThreads = 8,
                PhysicalCores = 4,
                MemoryGiB = 32,
                Purchase = [new MeteredPurchase { Currency = "EUR", PricePerHour = 0.75m }],
            },
        ],
    };

    public static DemoData Demo() => new(new PlanDraft { Name = "Night tiles", Owner = "Tidemark" }, TwoMachines("Tidemark"));

    /// <summary>Two catalogues hold the same: records compare their lists by reference, so the lists are compared here.</summary>
    public static void AssertSame(Catalogue expected, Catalogue? actual)
    {
        Assert.NotNull(actual);
        Assert.Equal(expected with { Machines = [] }, actual with { Machines = [] });
        Assert.Equal(expected.Machines.Length, actual.Machines.Length);
        foreach ((MachineType wanted, MachineType got) in expected.Machines.Zip(actual.Machines))
        {
            ImmutableArray<PurchaseOption> none = [new MeteredPurchase { Currency = "EUR", PricePerHour = 0 }];
            Assert.Equal(wanted with { Purchase = none }, got with { Purchase = none });
            Assert.Equal(wanted.Purchase.AsEnumerable(), got.Purchase.AsEnumerable());
        }
    }
}
