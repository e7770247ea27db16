using MathNet.Numerics;
using MathNet.Numerics.Distributions;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>
/// The distribution of one run's time: each draw of the curve gives a time, and a run scatters about it by a log-normal
/// noise. Draws are gathered in bins of the logarithm, so that a quantile costs the same however many draws there are.
/// </summary>
public sealed class RunTimeMixture
{
    /// <summary>Bins to a standard deviation of the noise. A draw is shared between the two bins about it, which keeps the
    /// mean and adds at most a quarter of a squared bin to the variance, here a 64th of the noise.</summary>
    private const double BinsToNoise = 4;

    private const int MostBins = 4_000;

    private const int MostSteps = 60;

    /// <summary>So many standard deviations past its median a run is taken to be certain.</summary>
    private const double Certain = NormalTable.Certain;

    private readonly double[] _logSeconds;
    private readonly double[] _weights;
    private readonly double _logNoise;
    private readonly double _mean;
    private readonly double _deviation;
    private readonly double _width;
    private double[]? _chances;
    private double[]? _slopes;

    /// <summary>Makes the distribution.</summary>
    /// <param name="drawSeconds">The time each draw gives, seconds; each above 0 and finite; at least one.</param>
    /// <param name="logNoise">Standard deviation of the natural logarithm of a run about its draw; above 0.</param>
    /// <exception cref="ArgumentException">No draws, or one that is not above 0 and finite.</exception>
    public RunTimeMixture(ReadOnlySpan<double> drawSeconds, double logNoise)
    {
        _logNoise = Require.Positive(logNoise);
        if (drawSeconds.IsEmpty)
            throw new ArgumentException("A distribution needs at least one draw.", nameof(drawSeconds));
        double low = double.PositiveInfinity, high = 0;
        foreach (double seconds in drawSeconds)
        {
            Require.Positive(seconds);
            low = Min(low, seconds);
            high = Max(high, seconds);
        }

        double from = Log(low);
        double width = Max(logNoise / BinsToNoise, (Log(high) - from) / MostBins);
        _width = width;
        int bins = (int)Ceiling((Log(high) - from) / width) + 2;
        _logSeconds = new double[bins];
        _weights = new double[bins];
        for (int bin = 0; bin < bins; bin++)
            _logSeconds[bin] = from + bin * width;
        foreach (double seconds in drawSeconds)
        {
            double place = (Log(seconds) - from) / width;
            int bin = Min((int)place, bins - 2);
            double upper = place - bin;
            _weights[bin] += (1 - upper) / drawSeconds.Length;
            _weights[bin + 1] += upper / drawSeconds.Length;
        }

        double variance = 0;
        for (int bin = 0; bin < bins; bin++)
            _mean += _weights[bin] * _logSeconds[bin];
        for (int bin = 0; bin < bins; bin++)
            variance += _weights[bin] * (_logSeconds[bin] - _mean) * (_logSeconds[bin] - _mean);
        _deviation = Sqrt(variance + logNoise * logNoise);
    }

    /// <summary>The chance that a run takes at most so long.</summary>
    /// <param name="seconds">Seconds; any number, not NaN. 0 or less has the chance 0.</param>
    public double ChanceWithin(double seconds)
    {
        if (double.IsNaN(seconds))
            throw new ArgumentOutOfRangeException(nameof(seconds), seconds, "The time is not a number.");
        if (seconds <= 0)
            return 0;
        // So far past every draw only the rounding of the weights keeps the sum from 1, which a target may come as near to.
        double logSeconds = Log(seconds);
        return logSeconds > _logSeconds[^1] + Certain * _logNoise ? 1 : Cdf(logSeconds);
    }

    /// <summary><see cref="ChanceWithin"/> to within 0.00002, from a table: for questions asked thousands of times.</summary>
    /// <param name="logSeconds">Natural logarithm of the time in seconds, not NaN; negative infinity for no time.</param>
    internal double NearChanceWithin(double logSeconds)
    {
        // Bins coarser than usual leave a curve that the table would not follow.
        if (_width > 1.001 * _logNoise / BinsToNoise)
            return ChanceWithin(Exp(logSeconds));
        Tabulate();
        double place = (logSeconds - _logSeconds[0]) / _width + Reach;
        if (!(place > 0))
            return 0;
        if (place >= _chances!.Length - 1)
            return 1;
        int at = (int)place;
        double t = place - at, u = 1 - t;
        // The cubic through both chances with both slopes.
        return Clamp(
            _chances[at] * u * u * (1 + 2 * t) + _chances[at + 1] * t * t * (3 - 2 * t) + t * u * (_slopes![at] * u - _slopes[at + 1] * t), 0, 1);
    }

    /// <summary>Chances a bin apart, and by how much they rise over one.</summary>
    private void Tabulate()
    {
        if (_slopes is not null)
            return;
        double step = _width / _logNoise;
        double[] chances = new double[_weights.Length + 2 * Reach], slopes = new double[chances.Length];
        double[] far = new double[chances.Length + 1];
        for (int bin = 0; bin < _weights.Length; bin++)
        {
            if (_weights[bin] <= 0)
                continue;
            for (int off = -Reach; off < Reach; off++)
            {
                chances[bin + Reach + off] += _weights[bin] * s_rise[off + Reach];
                slopes[bin + Reach + off] += _weights[bin] * s_slope[off + Reach] * step;
            }

            far[bin + 2 * Reach] += _weights[bin];
        }

        double sure = 0;
        for (int at = 0; at < chances.Length; at++)
            chances[at] += sure += far[at];
        (_chances, _slopes) = (chances, slopes);
    }

    private const int Reach = (int)(Certain * BinsToNoise);

    private static readonly double[] s_rise = [.. Enumerable.Range(-Reach, 2 * Reach).Select(off => StandardNormal(off / BinsToNoise))];

    private static readonly double[] s_slope =
        [.. Enumerable.Range(-Reach, 2 * Reach).Select(off => Exp(-0.5 * off * off / (BinsToNoise * BinsToNoise)) / Constants.Sqrt2Pi)];

    /// <summary>The time that a share of runs stays within.</summary>
    /// <param name="share">Above 0 and below 1.</param>
    /// <returns>Seconds.</returns>
    public double Quantile(double share)
    {
        if (!(share > 0 && share < 1))
            throw new ArgumentOutOfRangeException(nameof(share), share, "The share has to lie above 0 and below 1.");
        double z = Normal.InvCDF(0, 1, share);
        double reach = (Abs(z) + 1) * _logNoise;
        double low = _logSeconds[0] - reach, high = _logSeconds[^1] + reach;
        double at = Clamp(_mean + z * _deviation, low, high);
        // Newton from the normal of the same mean and variance, falling back on halving the bracket.
        for (int step = 0; step < MostSteps; step++)
        {
            double off = Cdf(at) - share;
            if (off < 0)
                low = at;
            else
                high = at;
            double next = at - off / Density(at);
            if (!(next > low && next < high))
                next = 0.5 * (low + high);
            double moved = Abs(next - at);
            at = next;
            if (moved < 1e-9)
                break;
        }

        return Exp(at);
    }

    /// <summary>The median and the central band that holds a share of runs.</summary>
    /// <param name="share">Above 0 and below 1.</param>
    /// <returns>Seconds.</returns>
    public Band Band(double share) => new(Quantile(0.5), Quantile((1 - share) / 2), Quantile((1 + share) / 2));

    private double Cdf(double logSeconds)
    {
        double sum = 0;
        for (int bin = 0; bin < _logSeconds.Length; bin++)
        {
            if (_weights[bin] > 0)
                sum += _weights[bin] * NormalTable.ChanceWithin((logSeconds - _logSeconds[bin]) / _logNoise);
        }

        return Clamp(sum, 0, 1);
    }

    private double Density(double logSeconds)
    {
        double density = 0;
        for (int bin = 0; bin < _logSeconds.Length; bin++)
        {
            double z = (logSeconds - _logSeconds[bin]) / _logNoise;
            density += _weights[bin] * Exp(-0.5 * z * z);
        }

        return density / (_logNoise * Constants.Sqrt2Pi);
    }

    /// <summary>The cumulative standard normal distribution.</summary>
    internal static double StandardNormal(double z) => z < -Certain ? 0 : z > Certain ? 1 : Normal.CDF(0, 1, z);
}
