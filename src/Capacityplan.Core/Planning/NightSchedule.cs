using System.Collections.Immutable;

namespace Capacityplan.Core.Planning;

/// <summary>One job's run in a night.</summary>
/// <param name="Job">Its number.</param>
/// <param name="StartSeconds">When it starts, seconds after the first.</param>
/// <param name="EndSeconds">When it ends.</param>
/// <param name="Cores">The cores' worth it has.</param>
public readonly record struct NightRun(int Job, double StartSeconds, double EndSeconds, double Cores);

/// <summary>How the jobs of a night run on a machine, each taking its usual time.</summary>
/// <param name="Runs">The runs, by job.</param>
public sealed record NightSchedule(ImmutableArray<NightRun> Runs)
{
    /// <summary>When the last job ends, seconds after the first has started.</summary>
    public double Seconds => Runs.Max(run => run.EndSeconds);

    /// <summary>True where two jobs run at once.</summary>
    public bool SharesCores => Runs.Any(one => Runs.Any(other => one.Job < other.Job && one.StartSeconds < other.EndSeconds && other.StartSeconds < one.EndSeconds));
}
