using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Sheet;

/// <summary>One figure of machines set side by side.</summary>
/// <param name="Figure">What it is.</param>
/// <param name="Values">One text a machine.</param>
/// <param name="Difference">The second against the first; empty where there is none to speak of.</param>
public sealed record SideBySideLine(string Figure, ImmutableArray<string> Values, string Difference);

/// <summary>Sets offers side by side, figure by figure.</summary>
public static class SideBySide
{
    /// <summary>What lies between two offers, as a finding without its full stop.</summary>
    public static string Finding(MachineOutcome first, MachineOutcome second)
    {
        double sooner = first.StartToFinishSeconds.Median - second.StartToFinishSeconds.Median;
        string time = $"{second.Name} ends {Figures.Difference(Math.Abs(sooner), first.StartToFinishSeconds.Median)} {(sooner >= 0 ? "sooner" : "later")} than {first.Name}";
        if (first.Currency != second.Currency)
            return time + "; their prices are in different currencies";
        decimal more = second.CostPerMonth - first.CostPerMonth;
        return $"{time} and costs {Figures.MoneyOfMonth(Math.Abs(more), first.Currency)} {(more >= 0 ? "more" : "less")} a month";
    }

    /// <summary>The figures.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="pinned">One or two offers.</param>
    public static ImmutableArray<SideBySideLine> Of(Plan plan, ImmutableArray<MachineOutcome> pinned)
    {
        var lines = ImmutableArray.CreateBuilder<SideBySideLine>();
        void Line(string figure, Func<MachineOutcome, string?> value, Func<MachineOutcome, MachineOutcome, string>? difference = null)
        {
            ImmutableArray<string?> values = [.. pinned.Select(value)];
            if (values.All(text => text is null))
                return;
            lines.Add(new(figure, [.. values.Select(text => text ?? Figures.Unknown)], pinned.Length == 2 && values.All(text => text is not null) ? difference?.Invoke(pinned[0], pinned[1]) ?? "" : ""));
        }

        bool sameCurrency = pinned.All(outcome => outcome.Currency == pinned[0].Currency);
        string Money(Func<MachineOutcome, decimal> amount, MachineOutcome one, MachineOutcome other, Func<decimal, string, string> write) =>
            sameCurrency ? Signed(amount(other) - amount(one), difference => write(difference, one.Currency)) : "";

        Line("paid", outcome => PurchaseWords.Of(outcome.Purchase));
        Line("cores / threads", outcome => $"{outcome.Machine.PhysicalCores} / {outcome.Machine.HardwareThreads}", (one, other) => Times(one.EffectiveCores, other.EffectiveCores, "in cores' worth"));
        Line("speed of a core", outcome => Short(outcome.Machine.RelativeCoreSpeed), (one, other) => Times(one.Machine.RelativeCoreSpeed, other.Machine.RelativeCoreSpeed, ""));
        Line("memory", outcome => Figures.Count(outcome.Machine.MemoryGiB) + Figures.NoBreakSpace + "GiB");
        Line("start to finish", outcome => outcome.Finishes ? Figures.TimeWithBand(outcome.StartToFinishSeconds) : null, (one, other) => Apart(one.StartToFinishSeconds.Median, other.StartToFinishSeconds.Median));
        Line("on a heavy night", outcome => outcome.HeavyStartToFinishSeconds is { } heavy ? Figures.TimeWithBand(heavy) : null, (one, other) => Apart(one.HeavyStartToFinishSeconds!.Value.Median, other.HeavyStartToFinishSeconds!.Value.Median));
        Line("interruptions a run", outcome => outcome.ExpectedInterruptionsPerRun is { } interrupted ? Short(interrupted) : null);
        Line("nights held, of 100", outcome => outcome.ChanceInWindow is { } chance ? Figures.ChanceBrief(chance) : null);
        Line("a run", outcome => Figures.MoneyOfRun(outcome.CostPerRun, outcome.Currency), (one, other) => Money(outcome => outcome.CostPerRun, one, other, Figures.MoneyOfRun));
        Line("a month", outcome => Figures.MoneyOfMonth(outcome.CostPerMonth, outcome.Currency), (one, other) => Money(outcome => outcome.CostPerMonth, one, other, Figures.MoneyOfMonth));
        if (pinned.Any(outcome => outcome.FixedCostPerMonth > 0))
            Line("of it, whatever runs", outcome => Figures.MoneyOfMonth(outcome.FixedCostPerMonth, outcome.Currency));
        if (plan.Window is not null)
            Line("holds for", outcome => !outcome.MeetsTarget ? "not now" : outcome.MonthsUntilMissed is { } months ? Growing(months) : "as long as the input does not grow");
        return lines.ToImmutable();
    }

    private static string Growing(double months) => Math.Floor(months) switch
    {
        < 1 => "less than a month of growth",
        1 => "1 month of growth",
        var whole => $"{Figures.Count(whole)} months of growth",
    };

    private static string Apart(double first, double second) =>
        first == second ? "the same" : $"{Figures.Difference(Math.Abs(second - first), first)} {(second < first ? "sooner" : "later")}";

    private static string Times(double first, double second, string of) =>
        first == second ? "the same" : $"{Short(second / first)} times{(of.Length > 0 ? " " + of : "")}";

    private static string Signed(decimal difference, Func<decimal, string> write) =>
        difference == 0 ? "the same" : (difference > 0 ? "+" : "−") + write(Math.Abs(difference));

    private static string Short(double value) => value.ToString("0.##", CultureInfo.InvariantCulture);
}
