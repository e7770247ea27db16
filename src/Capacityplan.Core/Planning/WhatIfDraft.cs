using System.Text.Json.Serialization;
using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Planning;

/// <summary>A what-if as its owner typed it; an empty text leaves the base as it is. This is what is stored.</summary>
public sealed record WhatIfDraft
{
    /// <summary>What it is called where it is kept.</summary>
    public string Name { get; init; } = "";

    /// <summary>Input, times the base.</summary>
    public string Input { get; init; } = "";

    /// <summary>Work T1, times the base.</summary>
    public string Work { get; init; } = "";

    /// <summary>Span T_inf, times the base.</summary>
    public string Span { get; init; } = "";

    /// <summary>Split size, times the base.</summary>
    public string Grain { get; init; } = "";

    /// <summary>Pool costs and contention, times the base.</summary>
    public string Overhead { get; init; } = "";

    /// <summary>The most workers.</summary>
    public string Workers { get; init; } = "";

    /// <summary>Length of the window, as "45 min".</summary>
    public string Window { get; init; } = "";

    /// <summary>All prices, times the base.</summary>
    public string Price { get; init; } = "";

    /// <summary>True where nothing is asked.</summary>
    [JsonIgnore]
    public bool AsksNothing => this with { Name = "" } == new WhatIfDraft();

    /// <summary>What was typed, in words: "span × 0.5, window 45 min"; "as it is" where nothing was.</summary>
    [JsonIgnore]
    public string Words
    {
        get
        {
            (string Lever, string Text)[] levers =
            [
                ("input ×", Times(Input)), ("work ×", Times(Work)), ("span ×", Times(Span)), ("split size ×", Times(Grain)),
                ("pool costs ×", Times(Overhead)), ("at most", Workers.Trim() is { Length: > 0 } most ? most + " workers" : ""), ("window", Window.Trim()), ("prices ×", Times(Price)),
            ];
            return string.Join(", ", levers.Where(lever => lever.Text.Length > 0).Select(lever => $"{lever.Lever}{Figures.NoBreakSpace}{lever.Text}")) is { Length: > 0 } words
                ? words
                : "as it is";
        }
    }

    /// <summary>Reads it.</summary>
    /// <param name="path">What its blanks' paths begin with, such as "WhatIf".</param>
    /// <param name="blanks">Receives what could not be understood.</param>
    internal WhatIf Read(string path, BlankReader blanks)
    {
        double Factor(string lever, string text, double least = 0.001) => blanks.Number(path + lever, Times(text), least, 1_000) ?? 1;
        return new WhatIf
        {
            Input = Factor(nameof(Input), Input),
            Work = Factor(nameof(Work), Work),
            Span = Factor(nameof(Span), Span, 0),
            Grain = blanks.Number(path + nameof(Grain), Times(Grain), 1e-9, 1e9) ?? 1,
            Overhead = Factor(nameof(Overhead), Overhead, 0),
            Price = Factor(nameof(Price), Price, 0),
            MostWorkers = blanks.Whole(path + nameof(Workers), Workers, 1, Timing.MostCores),
            WindowSeconds = blanks.Duration(path + nameof(Window), Window),
        };
    }

    private static string Times(string text) => text.Trim().TrimStart('×', 'x', ' ');
}
