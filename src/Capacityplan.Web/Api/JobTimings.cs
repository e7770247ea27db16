using System.Collections.Immutable;
using Capacityplan.Core;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Reading;

namespace Capacityplan.Web.Api;

/// <summary>Gathers a job's timings from its array and its text, and checks that they can be fitted.</summary>
internal static class JobTimings
{
    /// <summary>Where the timings of a job are given as JSON.</summary>
    /// <param name="job">Where the job stands in the request.</param>
    public static string ArrayPath(string job) => job + ".timings";

    /// <summary>Where they are given as text.</summary>
    /// <param name="job">Where the job stands in the request.</param>
    public static string TextPath(string job) => job + ".timingsText";

    private static string BasePath(string job) => job + ".baseSeconds";

    /// <summary>A fit takes about 4 ms for each core count: more than anyone has measured would keep everybody waiting.</summary>
    private const int MostCoreCounts = 1_000;

    /// <summary>The longest and shortest time a text may give, as the fields of JSON have them.</summary>
    private const double LeastSeconds = 1e-12, MostSeconds = 1e9;

    /// <summary>The timings, those of the array before those of the text.</summary>
    /// <param name="job">The job.</param>
    /// <param name="at">Where it stands in the request.</param>
    /// <param name="findings">Receives what is wrong; the timings are worth nothing then.</param>
    public static ImmutableArray<Timing> Of(JobRequest job, string at, RequestFindings findings)
    {
        ImmutableArray<Timing> timings = findings.Concern(ArrayPath(at))
            ? []
            : [.. (job.Timings ?? []).OfType<TimingRequest>().Select(row => new Timing(row.Cores!.Value, row.Seconds!.Value, row.Sitting, row.Size ?? 1))];
        if (!string.IsNullOrWhiteSpace(job.TimingsText))
            timings = timings.AddRange(OfText(job.TimingsText, job.BaseSeconds, at, findings));
        else if (job.BaseSeconds is not null)
            findings.Warn(BasePath(at), "There is no text of speedups or rates for it to be the base of; it was not used.");

        if (timings.Length > PlanOrder.MostTimings)
        {
            findings.Error(
                TextPath(at),
                FormattableString.Invariant($"There are {timings.Length:#,0} timings; {PlanOrder.MostTimings:#,0} are the most, those of the array and of the text together."));
        }

        CheckCoreCounts(job, timings, at, findings);
        return timings;
    }

    /// <summary>The machine measured on.</summary>
    public static MeasuredOn MeasuredOnOf(JobRequest job) => new()
    {
        PhysicalCores = job.MeasuredOn?.PhysicalCores,
        HardwareThreads = job.MeasuredOn?.HardwareThreads,
        RelativeCoreSpeed = job.MeasuredOn?.RelativeCoreSpeed ?? 1,
    };

    private static Timing[] OfText(string text, double? baseSeconds, string at, RequestFindings findings)
    {
        TimingsReading reading = TimingsReader.Read(text);
        foreach (Problem problem in reading.Problems)
        {
            string path = problem.Path is { } own ? own.Replace("job.", at + ".", StringComparison.Ordinal) : TextPath(at);
            if (problem.Severity == ProblemSeverity.Error)
                findings.Error(path, problem.Message, problem.Line, problem.Column);
            else if (baseSeconds is null || !AsksForBase(problem, reading))
                findings.Add(problem with { Path = path });
        }

        if (reading.Timings.IsEmpty)
        {
            if (!findings.Concern(TextPath(at)))
                findings.Error(TextPath(at), "No timing was found in it. A line such as \"8 cores: 12.4 s\", or columns of cores and seconds, can be read.", 1, 1);
            return [];
        }

        if (reading.IsRelative && baseSeconds is null && !findings.Concern(BasePath(at)))
        {
            string held = reading.Values == TimingValues.Speedups ? "speedups" : "rates";
            findings.Error(
                BasePath(at),
                $"The text holds {held} only, which say how times compare but not how long they are. Add the time of the run on its smallest core count, in seconds.");
            return [];
        }

        if (!reading.IsRelative && baseSeconds is not null)
            findings.Warn(BasePath(at), "The text holds run times, so it was not used.");
        double scale = reading.IsRelative ? baseSeconds ?? 1 : 1;
        return
        [
            .. reading.Timings.Where(read => Fits(read, scale, at, findings))
                .Select(read => new Timing(read.Timing.Cores, read.Timing.Seconds * scale, read.Timing.Sitting, read.Timing.Size)),
        ];
    }

    /// <summary>True for the note, at the first value, that relative values need the time of a run.</summary>
    private static bool AsksForBase(Problem problem, TimingsReading reading) =>
        reading.IsRelative && problem.Severity == ProblemSeverity.Note
        && reading.Timings is [{ ValueAt: var first }, ..] && (problem.Line, problem.Column) == (first.Line, first.Column);

    private static bool Fits(ReadTiming read, double scale, string at, RequestFindings findings)
    {
        bool fits = read.Timing.Seconds * scale is >= LeastSeconds and <= MostSeconds;
        if (!fits)
        {
            findings.Error(
                TextPath(at), FormattableString.Invariant($"This is {read.Timing.Seconds * scale} s; a run has to take from {LeastSeconds} to {MostSeconds:#,0} s."),
                read.ValueAt.Line, read.ValueAt.Column);
        }

        return fits;
    }

    private static void CheckCoreCounts(JobRequest job, ImmutableArray<Timing> timings, string at, RequestFindings findings)
    {
        if (timings.IsEmpty || ((string[])[ArrayPath(at), TextPath(at), BasePath(at)]).Any(findings.Concern))
            return;
        string path = job.Timings is { Count: > 0 } ? ArrayPath(at) : TextPath(at);
        (int, double)[] cores = [.. timings.Select(timing => (timing.Cores, timing.Size)).Distinct()];
        if (cores.Length > MostCoreCounts)
        {
            findings.Error(path, FormattableString.Invariant($"The timings are on {cores.Length:#,0} different core counts and sizes; {MostCoreCounts:#,0} are the most."));
        }
    }
}
