using Capacityplan.Core;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Reading;

namespace Capacityplan.Web.Api;

/// <summary>Passes on what was found in a task graph's text.</summary>
internal static class GraphText
{
    /// <summary>Reads the graph of a job.</summary>
    /// <param name="request">The graph.</param>
    /// <param name="path">Its field.</param>
    /// <param name="findings">Receives what was found.</param>
    /// <returns>The job; null, with an error, where it cannot be read.</returns>
    public static GraphJob? JobOf(GraphRequest request, string path, RequestFindings findings)
    {
        if (request.Text is not { } text || findings.Concern(path))
            return null;
        TaskGraphReading reading = TaskGraphReader.Read(text);
        string format = reading.Format switch
        {
            TaskGraphFormat.PlainText => "plain",
            TaskGraphFormat.WorkflowTrace => "json",
            _ => "csv",
        };
        if (request.Format is { } said && said != format)
            findings.Warn(path + ".format", $"It says {said}, but the text is {format}, and was read as that.");
        Note(reading, path + ".text", findings);
        if (reading.Graph is not { } graph)
            return null;
        var usual = new SchedulingCosts();
        return new GraphJob(graph, new SchedulingCosts
        {
            ForkSeconds = request.ForkSeconds ?? usual.ForkSeconds,
            JoinSeconds = request.JoinSeconds ?? usual.JoinSeconds,
            StealAttemptSeconds = request.StealAttemptSeconds ?? usual.StealAttemptSeconds,
            StealSeconds = request.StealSeconds ?? usual.StealSeconds,
        });
    }

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
