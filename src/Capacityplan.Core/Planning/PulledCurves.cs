using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Planning;

/// <summary>A run drawn from pulled curves.</summary>
/// <param name="run">The distribution of its time.</param>
internal sealed class PulledRun(RunTimeMixture run)
{
    private double? _median;

    /// <summary>The distribution of its time.</summary>
    public RunTimeMixture Run { get; } = run;

    /// <summary>Its median, seconds; worked out once, since every month of a path asks for it.</summary>
    public double MedianSeconds => _median ??= Run.Quantile(0.5);
}

/// <summary>
/// The curves of a job on a machine with factors on their parts. The latest are kept: most of what a sensitivity varies leaves
/// the curves as they were. Used by one thread.
/// </summary>
/// <param name="parts">What the curves consist of.</param>
/// <param name="secondsEach">Seconds on the machine for each second of a curve; above 0.</param>
/// <param name="cores">The machine's cores' worth; 1 or more.</param>
/// <param name="logNoise">The scatter about the curves; above 0.</param>
internal sealed class PulledCurves(CurveParts[] parts, double secondsEach, double cores, double logNoise)
{
    /// <summary>As many as lie between two that are alike, where one input after the other is varied.</summary>
    private const int MostKept = 8;

    private readonly Queue<((double, double, double, double) Factors, PulledRun Run)> _kept = new();

    /// <summary>A run with factors on work, span, pool costs and scatter.</summary>
    public PulledRun With(double work, double span, double overhead, double noise)
    {
        var factors = (work, span, overhead, noise);
        foreach (((double, double, double, double) known, PulledRun kept) in _kept)
        {
            if (known == factors)
                return kept;
        }

        double[] seconds = [.. parts.Select(part => secondsEach * LeveredScaling.Pulled(part, default, cores, work, span, overhead).Seconds)];
        var run = new PulledRun(new RunTimeMixture(seconds, logNoise * noise));
        if (_kept.Count == MostKept)
            _kept.Dequeue();
        _kept.Enqueue((factors, run));
        return run;
    }
}
