using System.Text.Json.Serialization;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>How the run time grows with the input.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<WorkFormula>))]
public enum WorkFormula
{
    /// <summary>In proportion: n.</summary>
    [JsonStringEnumMemberName("n")] Proportional,

    /// <summary>As sorting does: n log n.</summary>
    [JsonStringEnumMemberName("nLogN")] TimesLogarithm,

    /// <summary>As comparing every pair does: n^2.</summary>
    [JsonStringEnumMemberName("nSquared")] Square,
}

/// <summary>What a larger input makes of a run time; every part of the run is taken to grow alike.</summary>
public sealed record InputWork
{
    /// <summary>The items an input is taken to have where nobody says. An assumption, shown on the page.</summary>
    public const double UsualItems = 1e6;

    /// <summary>In proportion to the input.</summary>
    public static readonly InputWork Proportional = new();

    /// <summary>The formula.</summary>
    public WorkFormula Formula { get; init; }

    /// <summary>n, items of the planned input; 2 or more. Only n log n asks for it.</summary>
    public double Items { get; init => field = Require.AtLeast(value, 2, nameof(Items)); } = UsualItems;

    /// <summary>The run time, times that of the planned input.</summary>
    /// <param name="input">The input, times the planned one; above 0.</param>
    public double TimeFactor(double input)
    {
        Require.Positive(input);
        return Formula switch
        {
            WorkFormula.Proportional => input,
            // n log n at x n items over that at n; below two items a logarithm means nothing, and the formula stays as there.
            WorkFormula.TimesLogarithm => input * Max(Log(2), Log(input * Items)) / Log(Items),
            _ => input * input,
        };
    }
}
