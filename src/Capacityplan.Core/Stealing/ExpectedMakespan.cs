namespace Capacityplan.Core.Stealing;

/// <summary>The expected time of a job under work stealing, and what the pool itself adds to it.</summary>
/// <param name="Seconds">Expected run time, seconds; above 0.</param>
/// <param name="OverheadSeconds">What forks and joins add to it, seconds; 0 or more.</param>
/// <param name="StealingSeconds">What steals, and waiting until every worker has found work, add to it beyond the greedy bound, seconds; 0 or more.</param>
public sealed record ExpectedMakespan(double Seconds, double OverheadSeconds, double StealingSeconds);
