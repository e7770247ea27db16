using System.Collections.Immutable;
using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Fitting;

/// <summary>
/// The distributions fitted to a sample of task durations, the best of them, and whether it is good enough to stand for the
/// sample.
/// </summary>
/// <remarks>
/// Fitted by maximum likelihood, ordered by AICc (K. P. Burnham and D. R. Anderson, "Model Selection and Multimodel Inference",
/// Springer 2002). The ends of the uniform and of the bounded Pareto distribution are extremes of the sample, for which the
/// count of parameters in AICc is a usual stand-in, not a theorem. Of a condensed sample the groups' means are taken for their
/// values.
/// </remarks>
public sealed class TaskSizeFit
{
    /// <summary>Fewer values than this are not fitted: they would not tell the families apart. Our own choice, no source.</summary>
    public const int LeastCount = 5;

    // AICc differences up to 2 leave a model "substantial support" (Burnham and Anderson 2002, section 2.6).
    private const double MostEqualAicc = 2;
    private const int MostPoints = 200;
    private const int MostEndPoints = 10;

    private readonly SampleSizes _sample;

    private TaskSizeFit(SampleSizes sample, ulong seed, CancellationToken cancellation)
    {
        _sample = sample;
        Count = sample.Count;
        LongestOf = Math.Max(1, (int)Math.Round(Math.Sqrt(Count)));
        (Candidates, LeftOut) = Fit(sample, LongestOf);
        Judgement = Candidates.IsEmpty ? null : TaskSizeJudgement.Of(sample, Candidates[0], LongestOf, seed, cancellation);
        Best = Judgement is { IsFine: true } ? Candidates[0] : null;
        AlmostAsGood = Best is null ? [] : [.. Candidates.Skip(1).Where(other => other.Aicc - Candidates[0].Aicc <= MostEqualAicc).Select(other => other.Family)];
    }

    /// <summary>How many values were fitted.</summary>
    public int Count { get; }

    /// <summary>How many tasks the longest is taken of, about the square root of <see cref="Count"/>.</summary>
    public int LongestOf { get; }

    /// <summary>The fitted distributions, smallest AICc first; empty where there are too few values.</summary>
    public ImmutableArray<FittedTaskSizes> Candidates { get; }

    /// <summary>The families that were not fitted, and why.</summary>
    public ImmutableArray<FamilyLeftOut> LeftOut { get; }

    /// <summary>The first of <see cref="Candidates"/> where it is good enough to stand for the sample; null where none fits well.</summary>
    public FittedTaskSizes? Best { get; }

    /// <summary>Where there is a best one, the families the sample can hardly tell from it: AICc within 2.</summary>
    public ImmutableArray<TaskSizeFamily> AlmostAsGood { get; }

    /// <summary>
    /// Up to 1,000 values: the chance that a sample of the first candidate shows a gap as large as <see cref="FittedTaskSizes.LargestGap"/>,
    /// from resampling; null for more values, where any real sample refutes any distribution and the gap itself decides.
    /// </summary>
    public double? GapChance => Judgement?.GapChance;

    /// <summary>What a plan should use: the best distribution, or else the sample itself.</summary>
    public TaskSizes Sizes => Best?.Sizes ?? _sample;

    /// <summary>The verdict in a plain sentence or two.</summary>
    public string Sentence => TaskSizeFitWords.Sentence(this);

    internal TaskSizeJudgement? Judgement { get; }

    /// <summary>Fits all families to a sample. The same sample and seed give the same answer.</summary>
    /// <param name="sample">The sample; condensed where it is large, see <see cref="SampleSizes.Condense"/>.</param>
    /// <param name="seed">Seed of the resampling.</param>
    /// <param name="cancellation">Ends the work early.</param>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static TaskSizeFit Of(SampleSizes sample, ulong seed, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(sample);
        return new TaskSizeFit(sample, seed, cancellation);
    }

    /// <summary>Points of a quantile-quantile plot, shortest first: every value of up to 200, else evenly by rank with both ends in full.</summary>
    /// <param name="candidate">One of <see cref="Candidates"/>.</param>
    public ImmutableArray<QuantilePoint> QuantilePoints(FittedTaskSizes candidate)
    {
        ArgumentNullException.ThrowIfNull(candidate);
        return [.. Ranks().Select(rank =>
        {
            double share = (rank + 0.5) / Count;
            return new QuantilePoint(share, _sample.AtRank(rank), candidate.Sizes.Quantile(share));
        })];
    }

    private static (ImmutableArray<FittedTaskSizes> Candidates, ImmutableArray<FamilyLeftOut> LeftOut) Fit(SampleSizes sample, int longestOf)
    {
        var likelihood = new SampleLikelihood(sample);
        if (TaskSizeLikelihoods.IsConstant(likelihood))
        {
            var constant = new ConstantSizes(sample.Mean);
            return ([new FittedTaskSizes(TaskSizeFamily.Constant, constant, 1, double.PositiveInfinity, double.NegativeInfinity, 1, 0, 0, 0)],
                [.. Enum.GetValues<TaskSizeFamily>().Skip(1).Select(family => new FamilyLeftOut(family, "All durations are equal."))]);
        }

        var fitted = new List<FittedTaskSizes>();
        var leftOut = new List<FamilyLeftOut>();
        foreach (TaskSizeFamily family in Enum.GetValues<TaskSizeFamily>())
        {
            int parameters = TaskSizeLikelihoods.Parameters(family);
            (TaskSizes? sizes, double logLikelihood, string reason) = TaskSizeLikelihoods.Fit(family, likelihood);
            if (sizes is not null && (sample.Count < LeastCount || sample.Count < parameters + 2))
                (sizes, reason) = (null, "There are too few values.");
            if (sizes is null)
            {
                leftOut.Add(new FamilyLeftOut(family, reason));
                continue;
            }

            double correction = 2.0 * parameters * (parameters + 1) / (sample.Count - parameters - 1);
            fitted.Add(new FittedTaskSizes(
                family, sizes, parameters, logLikelihood, 2 * (parameters - logLikelihood) + correction, 0,
                TaskSizeDistance.LargestGap(sample, sizes),
                TaskSizeDistance.MeanRatio(sample, sizes) - 1,
                TaskSizeDistance.LongestRatio(sample, sizes, longestOf) - 1));
        }

        if (fitted.Count == 0)
            return ([], [.. leftOut]);
        double least = fitted.Min(one => one.Aicc);
        double total = fitted.Sum(one => Math.Exp((least - one.Aicc) / 2));
        return ([.. fitted.OrderBy(one => one.Aicc).Select(one => one with { Weight = Math.Exp((least - one.Aicc) / 2) / total })], [.. leftOut]);
    }

    private IEnumerable<int> Ranks()
    {
        if (Count <= MostPoints)
            return Enumerable.Range(0, Count);
        const int Inner = MostPoints - 2 * MostEndPoints;
        return Enumerable.Range(0, MostEndPoints)
            .Concat(Enumerable.Range(1, Inner).Select(i => (int)((long)i * Count / (Inner + 1))))
            .Concat(Enumerable.Range(Count - MostEndPoints, MostEndPoints))
            .Distinct().Order();
    }
}
