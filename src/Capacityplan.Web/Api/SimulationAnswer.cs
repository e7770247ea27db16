using System.Collections.Immutable;
using Capacityplan.Core;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Web.Api;

/// <summary>What simulated runs say.</summary>
/// <param name="Seed">The seed used.</param>
/// <param name="Results">One entry for each pool asked for, in their order.</param>
/// <param name="Problems">What was left out of the request, and where.</param>
public sealed record SimulationsAnswer(int Seed, ImmutableArray<SimulatedAnswer> Results, ImmutableArray<ProblemAnswer> Problems)
{
    /// <summary>Writes an answer.</summary>
    /// <param name="seed">The seed used.</param>
    /// <param name="pools">What was simulated.</param>
    /// <param name="problems">What was odd about the request.</param>
    public static SimulationsAnswer Of(int seed, IEnumerable<SimulatedPool> pools, IEnumerable<Problem> problems) =>
        new(seed, [.. pools.Select(SimulatedAnswer.Of)], [.. problems.Select(ProblemAnswer.Of)]);
}

/// <summary>The runs on one pool. Times are seconds.</summary>
/// <param name="Cores">Workers of the pool, one to a core.</param>
/// <param name="MakespanSeconds">Run time.</param>
/// <param name="Steals">Steals of a run that succeeded.</param>
/// <param name="FailedAttempts">Tries of a run that failed.</param>
/// <param name="Shares">What the paid worker time, cores x makespan, went into; means, which add up to 1.</param>
/// <param name="MeanStolenUnits">Mean units of a stolen range; 0 where nothing was stolen.</param>
/// <param name="MeanPoppedUnits">Mean units of a range popped by the worker that pushed it; 0 where nothing was popped.</param>
/// <param name="WorkSeconds">Mean work of a run.</param>
/// <param name="SpanSeconds">Mean span of a run.</param>
public sealed record SimulatedAnswer(
    int Cores,
    SpreadAnswer MakespanSeconds,
    DeviationAnswer Steals,
    MeanAnswer FailedAttempts,
    SharesAnswer Shares,
    double MeanStolenUnits,
    double MeanPoppedUnits,
    double WorkSeconds,
    double SpanSeconds)
{
    /// <summary>Writes the runs on a pool.</summary>
    public static SimulatedAnswer Of(SimulatedPool pool)
    {
        (SampleSummary makespan, SampleSummary steals, TimeShares shares) = (pool.MakespanSeconds, pool.Steals, pool.Shares);
        return new(
            pool.Pool.Workers,
            new SpreadAnswer(makespan.Mean, makespan.StandardDeviation, makespan.P05, makespan.Median, makespan.P95),
            new DeviationAnswer(steals.Mean, steals.StandardDeviation),
            new MeanAnswer(pool.MeanFailedTries),
            new SharesAnswer(shares.Work, shares.Serial, shares.Overhead, shares.Stealing, shares.Idle),
            pool.MeanStolenUnits,
            pool.MeanPoppedUnits,
            pool.MeanWorkSeconds,
            pool.MeanSpanSeconds);
    }
}

/// <summary>A figure over the runs.</summary>
/// <param name="Mean">Its mean.</param>
/// <param name="StandardDeviation">Its standard deviation; 0 for one run.</param>
/// <param name="P05">Its 5 % quantile.</param>
/// <param name="Median">Its median.</param>
/// <param name="P95">Its 95 % quantile.</param>
public sealed record SpreadAnswer(double Mean, double StandardDeviation, double P05, double Median, double P95);

/// <summary>A figure over the runs, in short.</summary>
/// <param name="Mean">Its mean.</param>
/// <param name="StandardDeviation">Its standard deviation; 0 for one run.</param>
public sealed record DeviationAnswer(double Mean, double StandardDeviation);

/// <summary>A figure of which the mean is kept.</summary>
/// <param name="Mean">Its mean.</param>
public sealed record MeanAnswer(double Mean);

/// <summary>Shares of the paid worker time.</summary>
/// <param name="Work">Units.</param>
/// <param name="Serial">Serial phases, of which one parallel phase has none.</param>
/// <param name="Overhead">Forks, joins and combining.</param>
/// <param name="Stealing">Steals that succeeded, cold caches included.</param>
/// <param name="Idle">Looking for something to steal, or not yet awake.</param>
public sealed record SharesAnswer(double Work, double Serial, double Overhead, double Stealing, double Idle);
