using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Fitting;

/// <summary>Whether a fitted distribution is near enough to a sample to stand for it, and what speaks against it.</summary>
/// <param name="GapChance">Up to <see cref="MostResampled"/> values: the chance that a sample of the distribution itself shows a
/// gap this large; null for more.</param>
/// <param name="IsGapFine">True where the curves are near enough.</param>
/// <param name="IsMeanFine">True where the mean is near enough.</param>
/// <param name="IsLongestFine">True where the longest tasks are near enough.</param>
/// <remarks>
/// <para>Few values say little, so there the question is whether the distribution could have given them: a parametric bootstrap
/// with the parameters fitted anew each time (W. Stute, W. Gonzáles Manteiga and M. Presedo Quindimil, "Bootstrap based
/// goodness-of-fit-tests", Metrika 40, 1993).</para>
/// <para>Many values refute any distribution, however near it is, so there the question is whether it matters: the curves may lie
/// 0.04 apart, the mean be off by 5 % and the mean longest of sqrt(n) tasks by 20 %, or by three standard errors where those are
/// more. The three limits are our own choice, no source.</para>
/// </remarks>
internal sealed record TaskSizeJudgement(double? GapChance, bool IsGapFine, bool IsMeanFine, bool IsLongestFine)
{
    public const int MostResampled = 1_000;

    private const int Replicates = 199;
    private const double LeastGapChance = 0.05;
    private const double LeastErrorChance = 0.02;
    private const double FineGap = 0.02;
    private const double MostGap = 0.04;
    private const double MostMeanError = 0.05;
    private const double MostLongestError = 0.2;
    private const ulong Purpose = 0x7A5C;

    public bool IsFine => IsGapFine && IsMeanFine && IsLongestFine;

    public static TaskSizeJudgement Of(SampleSizes sample, FittedTaskSizes fitted, int longestOf, ulong seed, CancellationToken cancellation) =>
        fitted.Family == TaskSizeFamily.Constant ? new TaskSizeJudgement(null, true, true, true)
        : sample.Count <= MostResampled ? ByResampling(sample, fitted, longestOf, seed, cancellation)
        : ByDistance(sample, fitted, longestOf);

    private static TaskSizeJudgement ByResampling(SampleSizes sample, FittedTaskSizes fitted, int longestOf, ulong seed, CancellationToken cancellation)
    {
        double meanOff = Off(TaskSizeDistance.MeanRatio(sample, fitted.Sizes));
        double longestOff = Off(TaskSizeDistance.LongestRatio(sample, fitted.Sizes, longestOf));
        bool isMeanNear = meanOff <= MostMeanError / 2, isLongestNear = longestOff <= MostLongestError / 2;
        int gaps = 1, means = 1, longests = 1, of = 1;
        double[] drawn = new double[sample.Count];
        for (int replicate = 0; replicate < Replicates; replicate++)
        {
            cancellation.ThrowIfCancellationRequested();
            fitted.Sizes.Fill(new RandomSource(seed, (ulong)replicate, Purpose), drawn);
            // Draws of a very uneven gamma distribution can underflow to 0, which no gamma distribution is fitted to.
            foreach (ref double duration in drawn.AsSpan())
                duration = Math.Max(duration, 1e-300);
            var again = new SampleSizes(drawn);
            if (TaskSizeLikelihoods.Fit(fitted.Family, new SampleLikelihood(again)).Sizes is not { } refitted)
                continue;
            of++;
            gaps += TaskSizeDistance.LargestGap(again, refitted) >= fitted.LargestGap ? 1 : 0;
            means += isMeanNear || Off(TaskSizeDistance.MeanRatio(again, refitted)) >= meanOff ? 1 : 0;
            longests += isLongestNear || Off(TaskSizeDistance.LongestRatio(again, refitted, longestOf)) >= longestOff ? 1 : 0;
        }

        double chance = gaps / (double)of;
        return new TaskSizeJudgement(
            chance, chance >= LeastGapChance || fitted.LargestGap <= FineGap, means >= LeastErrorChance * of, longests >= LeastErrorChance * of);
    }

    private static TaskSizeJudgement ByDistance(SampleSizes sample, FittedTaskSizes fitted, int longestOf)
    {
        double meanError = fitted.Sizes.StandardDeviation / fitted.Sizes.Mean / Math.Sqrt(sample.Count);

        // The sample holds about n/m groups of m tasks, each with a longest of its own.
        double longestError = LongestDeviation(fitted.Sizes, longestOf) / fitted.Sizes.ExpectedLongest(longestOf) / Math.Sqrt(sample.Count / (double)longestOf);
        return new TaskSizeJudgement(
            null,
            fitted.LargestGap <= MostGap,
            Off(TaskSizeDistance.MeanRatio(sample, fitted.Sizes)) <= Math.Max(Math.Log(1 + MostMeanError), 3 * meanError),
            Off(TaskSizeDistance.LongestRatio(sample, fitted.Sizes, longestOf)) <= Math.Max(Math.Log(1 + MostLongestError), 3 * longestError));
    }

    /// <summary>Standard deviation of the longest of some tasks, seconds.</summary>
    private static double LongestDeviation(TaskSizes sizes, int longestOf)
    {
        // The longest is at most Q(u^(1/m)) with chance u; with u = 1 - exp(-s) even steps of s reach far into the tail.
        const double Step = 0.05, End = 20;
        double mean = 0, square = 0, weights = 0;
        for (double s = Step / 2; s < End; s += Step)
        {
            double longest = sizes.Quantile(Math.Exp(NearOne.LogOfOneLess(Math.Exp(-s)) / longestOf));
            double weight = Math.Exp(-s);
            mean += weight * longest;
            square += weight * longest * longest;
            weights += weight;
        }

        return Math.Sqrt(Math.Max(0, square / weights - mean / weights * (mean / weights)));
    }

    private static double Off(double ratio) => Math.Abs(Math.Log(ratio));
}
