using Capacityplan.Core;

namespace Capacityplan.Web.Api;

/// <summary>Something that makes a request impossible to answer, and where it is.</summary>
/// <param name="Path">The field, such as "job.timings[3].seconds"; null for the request as a whole.</param>
/// <param name="Line">Line in the text it was read from, from 1: in the field's text, or in the body where the JSON itself is
/// malformed; null where there is no text.</param>
/// <param name="Column">Column in that line, in UTF-16 code units from 1; null where there is no text.</param>
/// <param name="Message">What is wrong and what to do.</param>
public sealed record RequestError(string? Path, int? Line, int? Column, string Message);

/// <summary>
/// Everything found wrong or odd in one request. After <see cref="MostErrors"/> errors the search ends, so that a body of
/// nothing but nonsense costs no more than an honest one.
/// </summary>
internal sealed class RequestFindings
{
    /// <summary>The search ends after so many errors.</summary>
    public const int MostErrors = 1_000;

    /// <summary>So many unknown fields are named one by one.</summary>
    private const int MostUnknownFields = 100;

    private readonly List<RequestError> _errors = [];
    private readonly List<Problem> _problems = [];
    private long _unknownFields;

    /// <summary>The errors, in the order found.</summary>
    public IReadOnlyList<RequestError> Errors => _errors;

    /// <summary>True where the body is not JSON; there is one error then.</summary>
    public bool IsMalformed { get; private set; }

    /// <summary>True where there are so many errors that the search has ended.</summary>
    public bool IsFull => _errors.Count >= MostErrors;

    /// <summary>What is odd but does not stop an answer, in the order found.</summary>
    public IEnumerable<Problem> Problems =>
        _unknownFields > MostUnknownFields
            ? _problems.Append(new Problem(
                ProblemSeverity.Warning,
                FormattableString.Invariant($"{_unknownFields - MostUnknownFields:#,0} more fields are not known to this API and were left out.")))
            : _problems;

    /// <summary>Notes an error.</summary>
    public void Error(string? path, string message, int? line = null, int? column = null)
    {
        if (!IsFull)
            _errors.Add(new RequestError(path, line, column, message));
    }

    /// <summary>Notes that the body is not JSON. Nothing else that was found counts then.</summary>
    public void Malformed(string? path, int line, int column, string message)
    {
        IsMalformed = true;
        _errors.Clear();
        _errors.Add(new RequestError(path, line, column, message));
    }

    /// <summary>Notes something that does not stop an answer.</summary>
    public void Add(Problem problem) => _problems.Add(problem);

    /// <summary>Notes something left out or doubted.</summary>
    public void Warn(string path, string message) => Add(new Problem(ProblemSeverity.Warning, message, Path: path));

    /// <summary>Notes a field this API does not know.</summary>
    public void UnknownField(Func<string> path, string message)
    {
        if (++_unknownFields <= MostUnknownFields)
            Warn(path(), message);
    }

    /// <summary>True where an error concerns a field or something inside it.</summary>
    public bool Concern(string path) =>
        _errors.Exists(error => error.Path is { } at && at.StartsWith(path, StringComparison.Ordinal)
            && (at.Length == path.Length || at[path.Length] is '.' or '['));
}
