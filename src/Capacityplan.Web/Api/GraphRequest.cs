using System.ComponentModel;
using System.ComponentModel.DataAnnotations;

namespace Capacityplan.Web.Api;

/// <summary>A job known task by task.</summary>
public sealed record GraphRequest
{
    /// <summary>The form of the text: "csv" (a table of id, seconds and parents), "plain" (the text form of the Standard Task Graph Set) or "json"
    /// (a workflow trace, WfFormat 1.5). Its content shows it as well; where the two differ the content counts.</summary>
    [RegularExpression("^(csv|plain|json)$", ErrorMessage = "it has to be csv, plain or json")]
    public string? Format { get; init; }

    /// <summary>The graph. One with anything wrong in it is refused with line and column.</summary>
    [Required]
    public string? Text { get; init; }

    /// <summary>Seconds to push a task, paid once by each.</summary>
    [Range(0.0, 1_000.0)]
    [DefaultValue(5e-8)]
    public double? ForkSeconds { get; init; }

    /// <summary>Seconds to report a task done, paid once by each.</summary>
    [Range(0.0, 1_000.0)]
    [DefaultValue(5e-8)]
    public double? JoinSeconds { get; init; }

    /// <summary>Mean seconds between a thief's tries.</summary>
    [Range(0.0, 1_000.0, MinimumIsExclusive = true)]
    [DefaultValue(2e-7)]
    public double? StealAttemptSeconds { get; init; }

    /// <summary>Seconds a thief is busy with a steal that succeeded.</summary>
    [Range(0.0, 1_000.0)]
    [DefaultValue(1e-6)]
    public double? StealSeconds { get; init; }
}
