using MathNet.Numerics.Distributions;
using MathNet.Numerics.LinearAlgebra;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>
/// Weighed draws from what timings leave of a family's prior. A draw is a function of its number, so only the weights are
/// kept, and a curve is made again when it is picked.
/// </summary>
/// <remarks>
/// Draws are by importance, one half from the prior, widened, the other from a normal about the best fit with the curvature
/// there, widened; weighed by prior x likelihood over the density of both halves together (Owen and Zhou, "Safe and effective
/// importance sampling", JASA 95, 2000; from memory). The points are those of an additive recurrence with irrational steps.
/// </remarks>
internal sealed class FamilyDraws
{
    /// <summary>The chance, before any timing is seen, that more cores bring caches that the data then fit.</summary>
    private const double CacheChance = 0.2;

    private const double MostCacheGain = 0.3;
    private const double LeastCacheDoublings = 1.2;
    private const double MostCacheDoublings = 4;

    /// <summary>The share of draws with caches; more than their chance, so that there are enough where they are needed.</summary>
    private const double CachesDrawn = 0.4;

    private const double PriorWidened = 1.5;
    private const double LocalWidened = 1.3;

    private readonly FamilyFit _fit;
    private readonly double[] _centre;
    private readonly double _shift;
    private readonly double[] _steps;
    private readonly double[,] _curvature;
    private readonly double[,] _root;
    private readonly double _logRoot;

    /// <summary>Draws curves and weighs them.</summary>
    /// <param name="fit">The family, and what it is fitted to.</param>
    /// <param name="covariance">How the timings scatter.</param>
    /// <param name="best">The best fit under it.</param>
    /// <param name="count">How many.</param>
    /// <param name="shift">Where the sequence of points starts; from 0 to 1.</param>
    public FamilyDraws(FamilyFit fit, TimingCovariance covariance, FamilyBest best, int count, double shift)
    {
        (_fit, _centre, _shift) = (fit, best.Coordinates, shift);
        _steps = Steps(fit.Dimensions + 2);
        Matrix<double> curvature = fit.Curvature(covariance, _centre);
        Matrix<double> root = curvature.Inverse().Cholesky().Factor;
        (_root, _curvature, _logRoot) = (root.ToArray(), curvature.ToArray(), root.Diagonal().Sum(x => Log(x)));
        LogWeights = Weigh(covariance, count);
    }

    /// <summary>Natural logarithms of the draws' weights, which add up to the family's prior weight times its likelihood.</summary>
    public double[] LogWeights { get; }

    /// <summary>The curve of a draw.</summary>
    /// <param name="index">Its number; from 0 to the count less 1.</param>
    public FamilyCurve this[int index] =>
        Curve(index, new double[_fit.Parameters], new double[_fit.Dimensions + 2], new double[_centre.Length]);

    private double[] Weigh(TimingCovariance covariance, int count)
    {
        double[] weights = new double[count];
        double[] parameters = new double[_fit.Parameters], point = new double[_fit.Dimensions + 2], at = new double[_centre.Length];
        double[] residuals = new double[_fit.Points.Cores.Length];
        double logShare = Log(_fit.PriorWeight / count), withCaches = Log(CacheChance / CachesDrawn), without = Log((1 - CacheChance) / (1 - CachesDrawn));
        for (int index = 0; index < count; index++)
        {
            FamilyCurve curve = Curve(index, parameters, point, at);
            _fit.Points.Off(curve, residuals);
            weights[index] = logShare - LogDrawnAgainstPrior(at) + (HasCaches(point) ? withCaches : without) - 0.5 * covariance.Product(residuals, residuals);
        }

        return weights;
    }

    private FamilyCurve Curve(int index, double[] parameters, Span<double> point, Span<double> at)
    {
        int k = at.Length;
        for (int j = 0; j < point.Length; j++)
            point[j] = Fraction(_shift + 0.5 + (index + 1) * _steps[j]);
        Span<double> normal = stackalloc double[k];
        for (int j = 0; j < k; j++)
            normal[j] = Normal.InvCDF(0, 1, Clamp(point[j], 1e-9, 1 - 1e-9));
        for (int j = 0; j < k; j++)
        {
            at[j] = PriorWidened * normal[j];
            if (index % 2 == 1)
            {
                at[j] = _centre[j];
                for (int l = 0; l < k; l++)
                    at[j] += LocalWidened * _root[j, l] * normal[l];
            }
        }

        return _fit.CurveAt(at, parameters) with
        {
            CacheGain = HasCaches(point) ? MostCacheGain * point[k] / CachesDrawn : 0,
            CacheDoublings = LeastCacheDoublings + (MostCacheDoublings - LeastCacheDoublings) * point[k + 1],
        };
    }

    /// <summary>Whether a draw's curve has caches: the number after its coordinates says so.</summary>
    private static bool HasCaches(ReadOnlySpan<double> point) => point[^2] < CachesDrawn;

    /// <summary>ln(density the point is drawn with / density of the prior).</summary>
    private double LogDrawnAgainstPrior(ReadOnlySpan<double> at)
    {
        int k = at.Length;
        double prior = 0, local = 0;
        for (int i = 0; i < k; i++)
        {
            prior += at[i] * at[i];
            for (int j = 0; j < k; j++)
                local += (at[i] - _centre[i]) * _curvature[i, j] * (at[j] - _centre[j]);
        }

        double one = -0.5 * prior * (1 / (PriorWidened * PriorWidened) - 1) - k * Log(PriorWidened);
        double other = -0.5 * (local / (LocalWidened * LocalWidened) - prior) - k * Log(LocalWidened) - _logRoot;
        double larger = Max(one, other);
        return larger + Log(0.5 * (Exp(one - larger) + Exp(other - larger)));
    }

    /// <summary>Steps of the additive recurrence in d dimensions: powers of 1/x with x^(d+1) = x + 1.</summary>
    private static double[] Steps(int dimensions)
    {
        double root = 1.5;
        for (int round = 0; round < 60; round++)
            root = Pow(root + 1, 1.0 / (dimensions + 1));
        return [.. Enumerable.Range(1, dimensions).Select(j => Pow(root, -j))];
    }

    private static double Fraction(double x) => x - Floor(x);
}
