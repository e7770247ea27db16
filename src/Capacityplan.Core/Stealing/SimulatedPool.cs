using MathNet.Numerics.Statistics;

namespace Capacityplan.Core.Stealing;

/// <summary>What simulated runs of a job on one pool say together.</summary>
public sealed class SimulatedPool
{
    internal SimulatedPool(WorkerPool pool, SimulatedRun[] runs)
    {
        Pool = pool;
        Runs = Array.AsReadOnly(runs);
        MakespanSeconds = SampleSummary.Of(runs.Select(run => run.MakespanSeconds));
        Steals = SampleSummary.Of(runs.Select(run => (double)run.Steals));
        MeanFailedTries = runs.Average(run => run.FailedTries);
        TimeShares[] shares = [.. runs.Select(run => run.Shares(pool.Workers))];
        Shares = new TimeShares(
            shares.Average(share => share.Work), shares.Average(share => share.Serial), shares.Average(share => share.Overhead),
            shares.Average(share => share.Stealing), shares.Average(share => share.Idle));
        MeanStolenUnits = MeanUnits(runs.Select(run => (run.StolenUnits, run.Steals)));
        MeanPoppedUnits = MeanUnits(runs.Select(run => (run.PoppedUnits, run.Pops)));
        MeanWorkSeconds = runs.Average(run => run.WorkSeconds);
        MeanSpanSeconds = runs.Average(run => run.SpanSeconds);
    }

    /// <summary>The pool.</summary>
    public WorkerPool Pool { get; }

    /// <summary>The runs, by replicate; one or more.</summary>
    public IReadOnlyList<SimulatedRun> Runs { get; }

    /// <summary>The replicate whose run time is nearest the median: a typical run; the first of equally near ones.</summary>
    public int TypicalReplicate => Enumerable.Range(0, Runs.Count)
        .MinBy(replicate => Math.Abs(Runs[replicate].MakespanSeconds - MakespanSeconds.Median));

    /// <summary>Run time, seconds.</summary>
    public SampleSummary MakespanSeconds { get; }

    /// <summary>Steals that succeeded in a run.</summary>
    public SampleSummary Steals { get; }

    /// <summary>Mean number of tries that failed in a run.</summary>
    public double MeanFailedTries { get; }

    /// <summary>Mean over the runs of what the paid worker time went into.</summary>
    public TimeShares Shares { get; }

    /// <summary>Mean over the runs, those without a steal left out, of the mean units of a stolen range; 0 where nothing was stolen.</summary>
    public double MeanStolenUnits { get; }

    /// <summary>Likewise of a range popped by the worker that pushed it; 0 where nothing was popped.</summary>
    public double MeanPoppedUnits { get; }

    /// <summary>Mean T1 of a run, seconds.</summary>
    public double MeanWorkSeconds { get; }

    /// <summary>Mean T_inf of a run, seconds.</summary>
    public double MeanSpanSeconds { get; }

    private static double MeanUnits(IEnumerable<(long Units, long Ranges)> runs) =>
        runs.Where(run => run.Ranges > 0).Select(run => (double)run.Units / run.Ranges).DefaultIfEmpty().Average();
}

/// <summary>A sample in short.</summary>
/// <param name="Mean">Arithmetic mean.</param>
/// <param name="StandardDeviation">Sample standard deviation (n - 1); 0 for one value.</param>
/// <param name="P05">5 % quantile, linear between neighbouring values (definition 7 of Hyndman and Fan).</param>
/// <param name="Median">50 % quantile, likewise.</param>
/// <param name="P95">95 % quantile, likewise.</param>
public readonly record struct SampleSummary(double Mean, double StandardDeviation, double P05, double Median, double P95)
{
    internal static SampleSummary Of(IEnumerable<double> values)
    {
        double[] sorted = [.. values];
        // Before sorting: the mean of the runs in their order is the same however many threads made them.
        double mean = sorted.Mean();
        double deviation = sorted.Length > 1 ? sorted.StandardDeviation() : 0;
        Array.Sort(sorted);
        double Quantile(double share) => SortedArrayStatistics.QuantileCustom(sorted, share, QuantileDefinition.R7);
        return new SampleSummary(mean, deviation, Quantile(0.05), Quantile(0.5), Quantile(0.95));
    }
}
