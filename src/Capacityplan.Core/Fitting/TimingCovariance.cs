using MathNet.Numerics.LinearAlgebra;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>
/// How the log-times of measured core counts scatter about a curve whose level is free: each by its own noise, and all by
/// what no curve of ours has: a discrepancy that wanders from one core on, Cov = d^2 log2 min(p, q). The discrepancy is
/// followed to other core counts by its conditional mean.
/// </summary>
/// <remarks>Discrepancy as a Gaussian process: Kennedy and O'Hagan, "Bayesian calibration of computer models", J. R. Statist.
/// Soc. B 63(3), 2001; from memory. The least squares of a free level and the prediction are the textbook ones.</remarks>
internal sealed class TimingCovariance
{
    /// <summary>What a doubling of the cores adds to the log-scatter of the job about any simple curve. From the study named
    /// at <see cref="TimingNoise.Estimate"/>.</summary>
    public const double DiscrepancyPerDoubling = 0.05;

    private readonly double _scale;
    private readonly double[] _cores;
    private readonly double[] _variances;
    private readonly double[,] _inverse;
    private readonly double[] _rows;
    private readonly double _total;

    /// <param name="cores">Core counts, ascending, repeats allowed; each 1 or more.</param>
    /// <param name="variances">Variances of their log-times by noise; each above 0.</param>
    /// <param name="scale">What the discrepancy is multiplied by; 0 for none.</param>
    public TimingCovariance(double[] cores, double[] variances, double scale = 1)
    {
        _scale = scale;
        _cores = cores;
        _variances = variances;
        int n = cores.Length;
        _inverse = Matrix<double>.Build.Dense(n, n, (i, j) => Shared(cores[i], cores[j]) + (i == j ? variances[i] : 0)).Inverse().ToArray();
        _rows = new double[n];
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j < n; j++)
                _rows[i] += _inverse[i, j];
            _total += _rows[i];
        }
    }

    /// <summary>Standard deviation of the level.</summary>
    public double LevelDeviation => 1 / Sqrt(_total);

    /// <summary>The most likely level of residuals.</summary>
    public double Level(ReadOnlySpan<double> residuals)
    {
        double sum = 0;
        for (int i = 0; i < residuals.Length; i++)
            sum += _rows[i] * residuals[i];
        return sum / _total;
    }

    /// <summary>The weighted product of two lists of residuals, each about its own level.</summary>
    public double Product(ReadOnlySpan<double> one, ReadOnlySpan<double> other)
    {
        double sum = 0;
        for (int i = 0; i < one.Length; i++)
        {
            double row = 0;
            for (int j = 0; j < other.Length; j++)
                row += _inverse[i, j] * other[j];
            sum += one[i] * row;
        }

        return sum - Level(one) * Level(other) * _total;
    }

    /// <summary>How far a residual is from what the others let expect.</summary>
    /// <param name="index">Which.</param>
    /// <param name="residuals">All residuals.</param>
    /// <param name="variance">The variance of its own noise to judge it by.</param>
    /// <returns>Standard deviations, signed.</returns>
    public double Off(int index, ReadOnlySpan<double> residuals, double variance)
    {
        double level = Level(residuals);
        double row = 0;
        for (int j = 0; j < residuals.Length; j++)
            row += _inverse[index, j] * (residuals[j] - level);
        double own = _inverse[index, index] - _rows[index] * _rows[index] / _total;
        return row / own / Sqrt(1 / own - _variances[index] + variance);
    }

    /// <summary>What the discrepancy at a core count takes from each residual, and its variance given them.</summary>
    /// <param name="cores">p; 1 or more.</param>
    /// <param name="shares">Receives one factor a residual about the level.</param>
    public double Follow(double cores, Span<double> shares)
    {
        double explained = 0;
        for (int i = 0; i < _cores.Length; i++)
        {
            shares[i] = 0;
            for (int j = 0; j < _cores.Length; j++)
                shares[i] += _inverse[i, j] * Shared(_cores[j], cores);
            explained += shares[i] * Shared(_cores[i], cores);
        }

        return Max(0, Shared(cores, cores) - explained);
    }

    /// <summary>What the discrepancies at two core counts have in common once the timings are known.</summary>
    public double Left(double one, double other)
    {
        double left = Shared(one, other);
        double[] shares = new double[_cores.Length];
        Follow(one, shares);
        for (int i = 0; i < shares.Length; i++)
            left -= shares[i] * Shared(_cores[i], other);
        return left;
    }

    private double Shared(double one, double other) => Square(_scale * DiscrepancyPerDoubling) * Log2(Min(one, other));

    private static double Square(double x) => x * x;
}
