using System.Collections.Immutable;

namespace Capacityplan.Core.Fitting;

/// <summary>What makes up the run time at a core count, seconds; the shares of the central curve.</summary>
/// <param name="WorkSeconds">The part that more cores shorten.</param>
/// <param name="SpanSeconds">The part that stays.</param>
/// <param name="OverheadSeconds">Forks, joins and steals.</param>
/// <param name="ContentionSeconds">The part that grows with the cores, as workers get in each other's way.</param>
/// <param name="SerialSeconds">Serial phases, where they are known apart from the span.</param>
/// <param name="BandwidthSeconds">What waiting for memory or another shared rate adds to the work.</param>
public readonly record struct RunTimeParts(
    double WorkSeconds, double SpanSeconds, double OverheadSeconds, double ContentionSeconds, double SerialSeconds = 0, double BandwidthSeconds = 0)
{
    /// <summary>All of it, seconds.</summary>
    public double TotalSeconds => WorkSeconds + SpanSeconds + OverheadSeconds + ContentionSeconds + SerialSeconds + BandwidthSeconds;
}

/// <summary>
/// What is believed of a job's run time against cores: equally likely curves, and how a run scatters about its curve.
/// Times are for plain cores at the speed of the machine the job was described for, and for the planned input.
/// </summary>
public abstract class ScalingForecast
{
    /// <summary>How many curves there are; 1 or more.</summary>
    public abstract int DrawCount { get; }

    /// <summary>The largest core count that was measured, in cores' worth; null where nothing was.</summary>
    public abstract double? MeasuredUpToCores { get; }

    /// <summary>The measured core counts, ascending; empty where nothing was measured.</summary>
    public virtual ImmutableArray<TimingGroup> Groups => [];

    /// <summary>T1, seconds: the median over the curves at one core.</summary>
    public abstract double WorkSeconds { get; }

    /// <summary>T_inf, seconds; with timings only, what the fit cannot make parallel. From 0 to <see cref="WorkSeconds"/>.</summary>
    public abstract double SpanSeconds { get; }

    /// <summary>Standard deviation of the natural logarithm of one run about its usual time.</summary>
    public abstract double RunToRunNoise { get; }

    /// <summary>The models behind the curves, largest weight first.</summary>
    public abstract IReadOnlyList<FittedModel> Models { get; }

    /// <summary>The time of each curve at a core count.</summary>
    /// <param name="cores">Cores' worth; 1 or more and finite.</param>
    /// <param name="seconds">Receives <see cref="DrawCount"/> times, seconds, each above 0.</param>
    public abstract void CurveSeconds(double cores, Span<double> seconds);

    /// <summary>What runs of several input sizes say of how the time grows with the input; null where there are none, and
    /// the time is taken to grow in proportion to the input.</summary>
    public virtual SizeGrowth? Growth => null;

    /// <summary>The time of each curve at a core count, for another input.</summary>
    /// <param name="cores">Cores' worth; 1 or more and finite.</param>
    /// <param name="size">The input, times the planned one; above 0 and finite.</param>
    /// <param name="seconds">Receives <see cref="DrawCount"/> times, seconds, each above 0.</param>
    public virtual void CurveSeconds(double cores, double size, Span<double> seconds)
    {
        Require.Positive(size);
        CurveSeconds(cores, seconds);
        for (int draw = 0; draw < seconds.Length; draw++)
            seconds[draw] *= size;
    }

    /// <summary>Standard deviation of the natural logarithm of the next run about a curve, at a core count: run-to-run
    /// noise, the error a sitting shares, and what extrapolation adds.</summary>
    /// <param name="cores">Cores' worth; 1 or more and finite.</param>
    public abstract double LogNoise(double cores);

    /// <summary>What the scatter of <see cref="LogNoise"/> at two core counts has in common, as a covariance of natural
    /// logarithms: what a run on one of them tells of the other besides choosing among the curves. 0 where it tells nothing.</summary>
    /// <param name="one">Cores' worth; 1 or more and finite.</param>
    /// <param name="other">Cores' worth; 1 or more and finite.</param>
    public virtual double SharedLogVariance(double one, double other) => 0;

    /// <summary>What makes up the time at a core count.</summary>
    /// <param name="cores">Cores' worth; 1 or more and finite.</param>
    public abstract RunTimeParts Parts(double cores);

    /// <summary>What each curve's time at a core count consists of; the sums are those of <see cref="CurveSeconds(double, Span{double})"/>. Where
    /// the curves' own shares are not known they are those of the central curve.</summary>
    /// <param name="cores">Cores' worth; 1 or more and finite.</param>
    /// <param name="parts">Receives <see cref="DrawCount"/> of them.</param>
    public virtual void CurveParts(double cores, Span<CurveParts> parts)
    {
        double[] seconds = new double[DrawCount];
        CurveSeconds(cores, seconds);
        RunTimeParts central = Parts(cores), one = Parts(1);
        for (int draw = 0; draw < seconds.Length; draw++)
            parts[draw] = Fitting.CurveParts.Of(central, one, cores, seconds[draw]);
    }

    /// <summary>The distribution of the next run's time.</summary>
    /// <param name="cores">Cores' worth; 1 or more and finite.</param>
    /// <param name="size">The input, times the planned one; above 0 and finite.</param>
    public RunTimeMixture At(double cores, double size = 1)
    {
        double[] seconds = new double[DrawCount];
        CurveSeconds(cores, size, seconds);
        return new RunTimeMixture(seconds, LogNoise(cores));
    }
}
