using System.ComponentModel;
using System.ComponentModel.DataAnnotations;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Reading;

namespace Capacityplan.Web.Api;

/// <summary>How the input grows. Where it is there, the answer says when each machine first misses and what the cheapest path costs.</summary>
public sealed record GrowthRequest
{
    /// <summary>Growth of the input a month, as a share; past the table's last month where there is a table. The default is the job's
    /// growthPerMonth.</summary>
    [Range(-1.0, 10.0, MinimumIsExclusive = true)]
    public double? PerMonth { get; init; }

    /// <summary>Months from now and the input in each, the months ascending; between two the input grows at an even rate.</summary>
    [MaxLength(ExpectedGrowth.FarthestMonth)]
    public IReadOnlyList<GrowthPointRequest?>? Table { get; init; }

    /// <summary>How the run time grows with the input: "n" (in proportion), "nLogN" (as sorting does) or "nSquared" (as comparing all pairs does).
    /// Runs of several input sizes go before it.</summary>
    [RegularExpression("^(n|nLogN|nSquared)$", ErrorMessage = "it has to be n, nLogN or nSquared")]
    [DefaultValue("n")]
    public string? Formula { get; init; }

    /// <summary>Items of the planned input; only nLogN asks for it.</summary>
    [Range(2.0, 1e18)]
    [DefaultValue(InputWork.UsualItems)]
    public double? Items { get; init; }
}

/// <summary>A month of a table of growth.</summary>
public sealed record GrowthPointRequest
{
    /// <summary>Months from now.</summary>
    [Required]
    [Range(1, ExpectedGrowth.FarthestMonth)]
    public int? Month { get; init; }

    /// <summary>The input then, times today's.</summary>
    [Required]
    [Range(1e-6, 1e6)]
    public double? Input { get; init; }
}

/// <summary>What past nights had to do: sizes or run times, not both. They stand in for nights.</summary>
public sealed record PastNightsRequest
{
    /// <summary>Input size of each night, in any one unit.</summary>
    [MaxLength(PastNightsReader.MostNights)]
    [Range(1e-12, 1e18)]
    public IReadOnlyList<double>? Sizes { get; init; }

    /// <summary>Run time of each night, seconds.</summary>
    [MaxLength(PastNightsReader.MostNights)]
    [Range(1e-12, 1e9)]
    public IReadOnlyList<double>? RunSeconds { get; init; }
}
