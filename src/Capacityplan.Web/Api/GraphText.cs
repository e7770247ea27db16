using Capacityplan.Core;
using Capacityplan.Core.Reading;

namespace Capacityplan.Web.Api;

/// <summary>Passes on what was found in a task graph's text.</summary>
internal static class GraphText
{
    /// <summary>Notes what was found.</summary>
    /// <param name="reading">What was read.</param>
    /// <param name="path">The field the text stands in; null where it is the body.</param>
    /// <param name="findings">Receives it.</param>
    public static void Note(TaskGraphReading reading, string? path, RequestFindings findings)
    {
        foreach (Problem problem in reading.Problems)
        {
            if (problem.Severity != ProblemSeverity.Error)
                findings.Add(problem with { Path = path });
            else if (path is null && reading.IsMalformed)
                findings.Malformed(path, problem.Line ?? 1, problem.Column ?? 1, problem.Message);
            else
                findings.Error(path, problem.Message, problem.Line, problem.Column);
        }
    }
}
