using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core.Machines;

namespace Capacityplan.Web.Api;

/// <summary>Ways to pay and currency rates of a request, checked and in the calculation's terms.</summary>
internal static class PurchaseOrder
{
    private static readonly (string Name, Func<PurchaseRequest, bool> IsGiven)[] s_fields =
    [
        ("pricePerHour", purchase => purchase.PricePerHour is not null),
        ("incrementSeconds", purchase => purchase.IncrementSeconds is not null),
        ("minimumSeconds", purchase => purchase.MinimumSeconds is not null),
        ("alwaysOn", purchase => purchase.AlwaysOn is not null),
        ("pricePerMonth", purchase => purchase.PricePerMonth is not null),
        ("upfront", purchase => purchase.Upfront is not null),
        ("months", purchase => purchase.Months is not null),
        ("interruptionsPerHour", purchase => purchase.InterruptionsPerHour is not null),
        ("restartSeconds", purchase => purchase.RestartSeconds is not null),
        ("checkpointSeconds", purchase => purchase.CheckpointSeconds is not null),
        ("purchasePrice", purchase => purchase.PurchasePrice is not null),
        ("lifetimeMonths", purchase => purchase.LifetimeMonths is not null),
        ("watts", purchase => purchase.Watts is not null),
        ("pricePerKilowattHour", purchase => purchase.PricePerKilowattHour is not null),
        ("overheadFactor", purchase => purchase.OverheadFactor is not null),
        ("hoursPerMonth", purchase => purchase.HoursPerMonth is not null),
    ];

    /// <summary>What the fields of each kind are, besides those of every kind, and which of them it needs.</summary>
    private static readonly Dictionary<string, (string[] Needed, string[] Known)> s_kinds = new(StringComparer.Ordinal)
    {
        [MeteredPurchase.KindName] = (["pricePerHour"], ["incrementSeconds", "minimumSeconds", "alwaysOn"]),
        [TermPurchase.KindName] = (["pricePerMonth", "months"], ["upfront"]),
        [InterruptiblePurchase.KindName] =
            (["pricePerHour", "interruptionsPerHour", "restartSeconds"], ["incrementSeconds", "minimumSeconds", "checkpointSeconds"]),
        [OwnedPurchase.KindName] = (["purchasePrice", "lifetimeMonths"], ["watts", "pricePerKilowattHour", "overheadFactor", "hoursPerMonth"]),
    };

    /// <summary>Notes what is wrong with a way to pay as a whole.</summary>
    /// <param name="purchase">The way to pay.</param>
    /// <param name="path">Where it is.</param>
    /// <param name="findings">Holds what was wrong with single fields, receives the rest.</param>
    public static void Check(PurchaseRequest purchase, string path, RequestFindings findings)
    {
        if (purchase.Kind is not { } kind)
            return;
        if (!s_kinds.TryGetValue(kind, out (string[] Needed, string[] Known) fields))
        {
            findings.Error(path + ".kind", $"It is not a kind of purchase; {string.Join(", ", s_kinds.Keys.Select(known => $"\"{known}\""))} are.");
            return;
        }

        foreach ((string name, Func<PurchaseRequest, bool> isGiven) in s_fields)
        {
            string at = $"{path}.{name}";
            bool needed = fields.Needed.Contains(name), given = isGiven(purchase) || findings.Concern(at);
            if (needed && !given)
                findings.Error(at, $"It is missing; the kind \"{kind}\" needs it.");
            else if (isGiven(purchase) && !needed && !fields.Known.Contains(name))
                findings.Error(at, $"It does not belong to the kind \"{kind}\"; leave it out, or give another kind.");
        }
    }

    /// <summary>A way to pay that was checked.</summary>
    /// <param name="purchase">The way to pay.</param>
    public static PurchaseOption Of(PurchaseRequest purchase)
    {
        PurchaseOption option = purchase.Kind switch
        {
            TermPurchase.KindName => new TermPurchase
            {
                Currency = purchase.Currency!,
                PricePerMonth = purchase.PricePerMonth!.Value,
                Upfront = purchase.Upfront ?? 0,
                Months = purchase.Months!.Value,
            },
            InterruptiblePurchase.KindName => new InterruptiblePurchase
            {
                Currency = purchase.Currency!,
                PricePerHour = purchase.PricePerHour!.Value,
                IncrementSeconds = purchase.IncrementSeconds ?? 1,
                MinimumSeconds = purchase.MinimumSeconds ?? 0,
                InterruptionsPerHour = purchase.InterruptionsPerHour!.Value,
                RestartSeconds = purchase.RestartSeconds!.Value,
                CheckpointSeconds = purchase.CheckpointSeconds,
            },
            OwnedPurchase.KindName => new OwnedPurchase
            {
                Currency = purchase.Currency!,
                PurchasePrice = purchase.PurchasePrice!.Value,
                LifetimeMonths = purchase.LifetimeMonths!.Value,
                Watts = purchase.Watts ?? 0,
                PricePerKilowattHour = purchase.PricePerKilowattHour ?? 0,
                OverheadFactor = purchase.OverheadFactor ?? 1,
                HoursPerMonth = purchase.HoursPerMonth ?? PurchaseOption.AlwaysOnHours,
            },
            _ => new MeteredPurchase
            {
                Currency = purchase.Currency!,
                PricePerHour = purchase.PricePerHour!.Value,
                IncrementSeconds = purchase.IncrementSeconds ?? 1,
                MinimumSeconds = purchase.MinimumSeconds ?? 0,
                AlwaysOn = purchase.AlwaysOn ?? false,
            },
        };
        return option with
        {
            LicencePerCoreMonth = purchase.LicencePerCoreMonth ?? 0,
            LicencePerMachineMonth = purchase.LicencePerMachineMonth ?? 0,
        };
    }

    /// <summary>The rates of a request; those with an error are noted and left out.</summary>
    /// <param name="rates">The rates.</param>
    /// <param name="findings">Receives what is wrong.</param>
    public static ImmutableArray<CurrencyRate> RatesOf(IReadOnlyList<RateRequest?>? rates, RequestFindings findings)
    {
        var read = ImmutableArray.CreateBuilder<CurrencyRate>();
        for (int index = 0; index < (rates?.Count ?? 0); index++)
        {
            if (rates![index] is not { From: { } from, To: { } to, Rate: { } rate, TakenOn: { } takenOn })
                continue;
            string path = FormattableString.Invariant($"rates[{index}]");
            if (from == to)
                findings.Error(path + ".to", $"It is {to}, as from is; a rate is between two currencies.");
            else if (!DateOnly.TryParseExact(takenOn, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out DateOnly day))
                findings.Error(path + ".takenOn", $"There is no day {takenOn}.");
            else
                read.Add(new CurrencyRate { From = from, To = to, Rate = rate, TakenOn = day });
        }

        return read.ToImmutable();
    }
}
