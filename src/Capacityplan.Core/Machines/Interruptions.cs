using static System.Math;

namespace Capacityplan.Core.Machines;

/// <summary>
/// What interruptions that come at random, equally often in every hour (a Poisson process), do to a run. After each the job
/// goes on when the restart is over, from its last checkpoint or, where it writes none, from its beginning; a restart may be
/// interrupted too. The first start is counted with the machine's start-up and not here.
/// </summary>
/// <remarks>
/// M is the mean time between interruptions, R the restart, d the time a checkpoint takes, tau the work between two, T the run
/// without interruptions. A piece that needs x without a break takes M exp(R/M) (exp(x/M) - 1) on average: its first try lasts
/// M (1 - exp(-x/M)) and fails with chance 1 - exp(-x/M); from then on it needs R + x without a break, tried again and again,
/// which takes M (exp((R + x)/M) - 1). Without checkpoints the run is one piece; with them it is pieces of tau + d, the last
/// without a checkpoint (J. T. Daly, "A higher order estimate of the optimum checkpoint interval for restart dumps", Future
/// Generation Computer Systems 22(3), 2006, from memory). Limits: hours alike, no warning before an interruption, a new
/// machine always to be had after the restart.
/// </remarks>
public sealed record Interruptions
{
    /// <summary>States them.</summary>
    /// <param name="meanSecondsBetween">M, seconds; above 0.</param>
    /// <param name="restartSeconds">R, seconds; 0 or more.</param>
    /// <param name="checkpointSeconds">d, seconds; above 0, null where the job writes no checkpoints.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public Interruptions(double meanSecondsBetween, double restartSeconds = 0, double? checkpointSeconds = null)
    {
        MeanSecondsBetween = Require.Positive(meanSecondsBetween);
        RestartSeconds = Require.NotNegative(restartSeconds);
        CheckpointSeconds = checkpointSeconds is { } written ? Require.Positive(written, nameof(checkpointSeconds)) : null;
        IntervalSeconds = CheckpointSeconds is { } d ? BestInterval(d, meanSecondsBetween) : null;
    }

    /// <summary>M: mean time from one interruption to the next, seconds.</summary>
    public double MeanSecondsBetween { get; }

    /// <summary>R: from an interruption until the job goes on, seconds.</summary>
    public double RestartSeconds { get; }

    /// <summary>d: time a checkpoint takes, seconds; null where the job writes none.</summary>
    public double? CheckpointSeconds { get; }

    /// <summary>tau: the work between two checkpoints that makes the expected time shortest (<see cref="BestInterval"/>), seconds;
    /// null where the job writes none.</summary>
    public double? IntervalSeconds { get; }

    /// <summary>Fewer an hour than this, one in 114 million years, are none.</summary>
    private const double LeastPerHour = 1e-12;

    /// <summary>The interruptions of a way to pay; null where there are none.</summary>
    public static Interruptions? Of(PurchaseOption purchase) =>
        purchase is InterruptiblePurchase { InterruptionsPerHour: >= LeastPerHour } one
            ? new Interruptions(3600 / one.InterruptionsPerHour, one.RestartSeconds, one.CheckpointSeconds)
            : null;

    /// <summary>Mean time of a run, seconds; positive infinity where it is too long to be written.</summary>
    /// <param name="uninterruptedSeconds">T, seconds; 0 or more and finite.</param>
    public double ExpectedSeconds(double uninterruptedSeconds)
    {
        double t = Require.NotNegative(uninterruptedSeconds);
        double scale = MeanSecondsBetween * Exp(RestartSeconds / MeanSecondsBetween);
        if (IntervalSeconds is not { } tau)
            return t == 0 ? 0 : scale * ExpLessOne(t / MeanSecondsBetween);
        double checkpoints = CheckpointsIn(t, tau);
        double last = ExpLessOne((t - checkpoints * tau) / MeanSecondsBetween);
        double sum = last + (checkpoints > 0 ? checkpoints * ExpLessOne((tau + CheckpointSeconds!.Value) / MeanSecondsBetween) : 0);
        return sum == 0 ? 0 : scale * sum;
    }

    /// <summary>Interruptions in a run, on average: its mean time over M (Wald's identity); 0 or more, perhaps infinite.</summary>
    /// <param name="uninterruptedSeconds">T, seconds; 0 or more and finite.</param>
    public double ExpectedCount(double uninterruptedSeconds) => ExpectedSeconds(uninterruptedSeconds) / MeanSecondsBetween;

    /// <summary>Daly's mean time of a run with checkpoints, seconds: M exp(R/M) (exp((tau + d)/M) - 1) T/tau. It counts a
    /// checkpoint after the last piece too, which <see cref="ExpectedSeconds"/> leaves out.</summary>
    /// <param name="uninterruptedSeconds">T, seconds; 0 or more.</param>
    /// <param name="intervalSeconds">tau, seconds; above 0.</param>
    /// <param name="checkpointSeconds">d, seconds; 0 or more.</param>
    /// <param name="meanSecondsBetween">M, seconds; above 0.</param>
    /// <param name="restartSeconds">R, seconds; 0 or more.</param>
    public static double ExpectedSecondsByDaly(
        double uninterruptedSeconds, double intervalSeconds, double checkpointSeconds, double meanSecondsBetween, double restartSeconds) =>
        Require.Positive(meanSecondsBetween) * Exp(Require.NotNegative(restartSeconds) / meanSecondsBetween)
        * ExpLessOne((Require.Positive(intervalSeconds) + Require.NotNegative(checkpointSeconds)) / meanSecondsBetween)
        * Require.NotNegative(uninterruptedSeconds) / intervalSeconds;

    /// <summary>The best work between checkpoints by the first-order rule, seconds: sqrt(2 d M).</summary>
    /// <remarks>J. W. Young, "A first order approximation to the optimum checkpoint interval", Communications of the ACM 17(9),
    /// 1974. Good where d is far below M.</remarks>
    /// <param name="checkpointSeconds">d, seconds; above 0.</param>
    /// <param name="meanSecondsBetween">M, seconds; above 0.</param>
    public static double YoungInterval(double checkpointSeconds, double meanSecondsBetween) =>
        Sqrt(2 * Require.Positive(checkpointSeconds) * Require.Positive(meanSecondsBetween));

    /// <summary>The best work between checkpoints by Daly's higher-order rule, seconds: with x = sqrt(d/(2M)),
    /// sqrt(2 d M) (1 + x/3 + x^2/9) - d where d is below 2 M, M otherwise.</summary>
    /// <remarks>J. T. Daly, Future Generation Computer Systems 22(3), 2006; the rule from memory, checked in tests against the
    /// exact minimum of the expected time.</remarks>
    /// <param name="checkpointSeconds">d, seconds; above 0.</param>
    /// <param name="meanSecondsBetween">M, seconds; above 0.</param>
    public static double BestInterval(double checkpointSeconds, double meanSecondsBetween)
    {
        double young = YoungInterval(checkpointSeconds, meanSecondsBetween);
        if (checkpointSeconds >= 2 * meanSecondsBetween)
            return meanSecondsBetween;
        double x = Sqrt(checkpointSeconds / (2 * meanSecondsBetween));
        return young * (1 + x / 3 + x * x / 9) - checkpointSeconds;
    }

    /// <summary>How many checkpoints are written before a run is done: one after each tau of work but the last.</summary>
    internal static double CheckpointsIn(double workSeconds, double intervalSeconds) => Max(0, Ceiling(workSeconds / intervalSeconds) - 1);

    /// <summary>exp(x) - 1 without losing digits near 0: its exact identity 2 exp(x/2) sinh(x/2).</summary>
    internal static double ExpLessOne(double x) => Abs(x) < 1 ? 2 * Exp(0.5 * x) * Sinh(0.5 * x) : Exp(x) - 1;
}
