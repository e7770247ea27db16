using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Fitting;

/// <summary>
/// What the likelihoods of all families need of a sample. Logarithms are of durations over their mean, so that a change of
/// unit changes nothing but the mean.
/// </summary>
internal sealed class SampleLikelihood
{
    public SampleLikelihood(SampleSizes sizes)
    {
        ReadOnlySpan<double> sorted = sizes.Sorted;
        Count = sizes.Count;
        Min = sorted[0];
        Max = sorted[^1];
        Mean = sizes.Mean;
        if (!(Min > 0))
            return;

        double logOfMean = Math.Log(Mean);
        var logs = new CarriedSum();
        var above = new CarriedSum();
        for (int i = 0, before = 0; i < sorted.Length; before = sizes.UpTo(i++))
        {
            int count = sizes.UpTo(i) - before;
            double ratio = sorted[i] / Mean;
            logs.Add(count * (Math.Log(sorted[i]) - logOfMean));
            // Mean ratios are 1 on average: this is log mean - mean log without the cancellation for nearly equal tasks.
            above.Add(count * (ratio > 0 ? IncompleteGamma.AboveItsLogarithm(ratio) : ratio - 1 - (Math.Log(sorted[i]) - logOfMean)));
        }

        MeanLog = logs.Total / Count;
        LogMeanLessMeanLog = above.Total / Count;
        var squares = new CarriedSum();
        for (int i = 0, before = 0; i < sorted.Length; before = sizes.UpTo(i++))
        {
            double off = Math.Log(sorted[i]) - logOfMean - MeanLog;
            squares.Add((sizes.UpTo(i) - before) * off * off);
        }

        LogVariance = squares.Total / Count;
    }

    public int Count { get; }

    public double Min { get; }

    public double Max { get; }

    public double Mean { get; }

    /// <summary>Mean of log(x/mean); 0 or less. Not set where a duration is 0.</summary>
    public double MeanLog { get; }

    /// <summary>log(mean) - mean(log); 0 or more.</summary>
    public double LogMeanLessMeanLog { get; }

    /// <summary>Variance of log x, divided by the count.</summary>
    public double LogVariance { get; }
}
