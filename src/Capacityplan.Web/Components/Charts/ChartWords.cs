using System.Globalization;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Components.Charts;

/// <summary>The phrases that titles, readouts and tables of charts share.</summary>
internal static class ChartWords
{
    private static readonly string[] s_small =
    [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen",
        "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
    ];

    private static readonly string[] s_tens = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];

    /// <summary>A whole number below 100 in words, any other in figures: keeps "23 at sixty-four" from reading as one number.</summary>
    public static string Number(double value) => value switch
    {
        >= 0 and < 20 when IsWhole(value) => s_small[(int)Math.Round(value)],
        >= 20 and < 99.5 when IsWhole(value) && Math.Round(value) % 10 is 0 => s_tens[(int)Math.Round(value) / 10],
        >= 20 and < 99.5 when IsWhole(value) => s_tens[(int)Math.Round(value) / 10] + "-" + s_small[(int)Math.Round(value) % 10],
        _ => Figures.Count(value),
    };

    /// <summary>"1 core", "16 cores", "10.5 cores' worth".</summary>
    public static string Cores(double cores) => IsWhole(cores)
        ? Figures.Count(Math.Round(cores)) + Figures.NoBreakSpace + (Math.Round(cores) is 1 ? "core" : "cores")
        : CoresWorth(cores);

    /// <summary>"10 cores' worth": what a machine's threads come to.</summary>
    public static string CoresWorth(double cores) => Figures.Count(cores) + Figures.NoBreakSpace + (cores is 1 ? "core's worth" : "cores' worth");

    /// <summary>A machine's cores as the subject of "brings it to": "Ten cores' worth brings" or "Sixteen cores bring".</summary>
    public static string CoresBring(MachineOutcome outcome)
    {
        bool secondThreadsCount = outcome.Machine.HardwareThreads > outcome.Machine.PhysicalCores;
        string number = Capitalised(Number(outcome.EffectiveCores));
        return secondThreadsCount ? $"{number} cores' worth brings"
            : outcome.EffectiveCores is 1 ? "One core brings"
            : $"{number} cores bring";
    }

    /// <summary>"8 nights in 10".</summary>
    public static string Nights(double share) =>
        IsWhole(share * 10) && share < 1
            ? string.Create(CultureInfo.InvariantCulture, $"{Math.Round(share * 10)} nights in 10")
            : Figures.Target(share);

    /// <summary>The second of two times said together, without its unit where the first has the same.</summary>
    public static string After(string first, string second)
    {
        int firstUnit = first.LastIndexOf(Figures.NoBreakSpace), secondUnit = second.LastIndexOf(Figures.NoBreakSpace);
        return firstUnit > 0 && secondUnit > 0 && !char.IsDigit(second[^1]) && first[firstUnit..] == second[secondUnit..]
            ? second[..secondUnit]
            : second;
    }

    /// <summary>How much more one amount is than another: "a quarter more", "twice as much", "18 % more".</summary>
    public static string HowMuchMore(decimal amount, decimal than)
    {
        if (than <= 0)
            return Figures.Unknown;

        double more = (double)(amount / than) - 1;
        return more switch
        {
            < 0.005 => "about the same",
            >= 0.225 and < 0.28 => "a quarter more",
            >= 0.31 and < 0.36 => "a third more",
            >= 0.46 and < 0.54 => "half as much again",
            >= 0.9 and < 1.1 => "twice as much",
            >= 1.1 => Figures.Times(more + 1) + " as much",
            _ => Figures.Percent(more) + " more",
        };
    }

    /// <summary>What holds a run back, as a table says it.</summary>
    public static string HeldBackBy(Limit limit) => limit switch
    {
        Limit.Work => "work",
        Limit.Span => "span",
        Limit.Overhead => "forks, joins and steals",
        Limit.Contention => "contention",
        Limit.Bandwidth => "memory",
        Limit.Serial => "serial parts",
        _ => throw new ArgumentOutOfRangeException(nameof(limit), limit, "An unknown limit."),
    };

    /// <summary>Machines' common family, where all of them share one.</summary>
    public static string? CommonFamily(IEnumerable<MachineType> machines)
    {
        string[] families = machines.Select(machine => MachineLabel.Of(machine.Name).Family).Distinct().Take(2).ToArray();
        return families is [{ Length: > 0 } only] ? only : null;
    }

    public static string Capitalised(string text) =>
        text.Length > 0 ? char.ToUpperInvariant(text[0]) + text[1..] : text;

    /// <summary>"Heron's", "Cress'".</summary>
    public static string Possessive(string name) => name.EndsWith('s') ? name + "'" : name + "'s";

    /// <summary>"a", "a and b", "a, b and c".</summary>
    public static string List(IReadOnlyList<string> items) => items.Count switch
    {
        0 => "",
        1 => items[0],
        _ => string.Join(", ", items.Take(items.Count - 1)) + " and " + items[^1],
    };

    private static bool IsWhole(double value) => Math.Abs(value - Math.Round(value)) < 1e-9 * Math.Max(1, Math.Abs(value));
}
