using System.Text.Json.Serialization;

namespace Capacityplan.Core;

/// <summary>How much a <see cref="Problem"/> takes away.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ProblemSeverity>))]
public enum ProblemSeverity
{
    /// <summary>Something worth knowing; nothing was left out.</summary>
    Note,

    /// <summary>Part of the input was left out or doubted; the rest stands.</summary>
    Warning,

    /// <summary>No answer can be given until this is put right.</summary>
    Error,
}

/// <summary>
/// Something wrong or doubtful in what a person or a script handed in, and where it is.
/// </summary>
/// <param name="Severity">How much it takes away.</param>
/// <param name="Message">What happened, what stays true, what to do; one or two plain sentences.</param>
/// <param name="Line">Line in the text it was read from, from 1; null where there is no text.</param>
/// <param name="Column">Column in that line, in UTF-16 code units from 1; null where there is none.</param>
/// <param name="Length">Number of UTF-16 code units the problem covers in that line; 0 for a place between two.</param>
/// <param name="Path">The field it concerns, as in the HTTP API ("job.timingsText"); null where it is plain.</param>
public sealed record Problem(
    ProblemSeverity Severity, string Message, int? Line = null, int? Column = null, int Length = 0, string? Path = null);
