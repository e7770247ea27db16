namespace Capacityplan.Core.Fitting;

/// <summary>
/// How noisy the machine measured on is taken to be before its repeats and sittings say better, as a standard deviation of
/// the natural logarithm of single runs.
/// </summary>
/// <remarks>The usual one comes from a study of twelve measured fork/join programs. The other two are common practice, no
/// source: a quiet machine has nothing else to do and a fixed clock rate; a noisy one is shared.</remarks>
public readonly record struct AssumedNoise
{
    /// <summary>The least and the most that can be assumed.</summary>
    public const double Least = 0.001, Most = 0.5;

    /// <summary>A sitting's own error over the scatter of single runs, as that study found them (4 % and 5 %).</summary>
    private const double SittingToRun = 0.8;

    private readonly double _runToRun;

    /// <summary>States a noise.</summary>
    /// <param name="runToRun">Scatter of single runs in one sitting, as a share; from <see cref="Least"/> to <see cref="Most"/>.</param>
    /// <exception cref="ArgumentOutOfRangeException">It is NaN or outside that range.</exception>
    public AssumedNoise(double runToRun) => _runToRun = Require.Within(runToRun, Least, Most);

    /// <summary>A machine that has nothing else to do.</summary>
    public static AssumedNoise Quiet { get; } = new(0.015);

    /// <summary>What is assumed where nothing is said.</summary>
    public static AssumedNoise Usual { get; } = new(TimingNoise.AssumedRunToRun);

    /// <summary>A machine that others work on too.</summary>
    public static AssumedNoise Noisy { get; } = new(0.12);

    /// <summary>Scatter of single runs in one sitting.</summary>
    public double RunToRun => _runToRun == 0 ? TimingNoise.AssumedRunToRun : _runToRun;

    /// <summary>The least error of a sitting; the runs' own scatter, squared, comes on top.</summary>
    public double Sitting => SittingToRun * RunToRun;
}
