using System.Collections.Immutable;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.LinearAlgebra;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>A curve of a family: its parameters, what caches give it, and how it grows with the input.</summary>
/// <param name="Family">The family.</param>
/// <param name="Parameters">Its parameters.</param>
/// <param name="Growth">How it grows with the input.</param>
/// <param name="CacheGain">The log-time that caches take away once the data fit them; 0 or more.</param>
/// <param name="CacheDoublings">The doublings of cores it takes until they do; above 0.</param>
internal sealed record FamilyCurve(
    ScalingFamily Family, double[] Parameters, InputGrowth Growth, double CacheGain = 0, double CacheDoublings = 1)
{
    /// <summary>ln(T(p, n)/T1), T1 being that of the planned input, n = 1.</summary>
    public double LogShare(double cores, double size = 1) =>
        Log(Growth.Share(Family.Parts(Parameters, cores), size)) - CacheGain * Min(1, Log2(cores) / CacheDoublings);
}

/// <summary>Where runs were measured, and how long they took.</summary>
/// <param name="Cores">Core counts, ascending, repeats allowed.</param>
/// <param name="Sizes">Input sizes, times the planned one.</param>
/// <param name="LogMedians">Natural logarithms of their seconds.</param>
internal sealed record FittedPoints(double[] Cores, double[] Sizes, double[] LogMedians)
{
    /// <summary>The points of groups.</summary>
    public static FittedPoints Of(IReadOnlyCollection<TimingGroup> groups) => new(
        [.. groups.Select(group => group.CoresWorth)], [.. groups.Select(group => group.Size)], [.. groups.Select(group => group.LogMedian)]);

    /// <summary>Whether any was measured with another input than the planned one.</summary>
    public bool HaveSizes => Array.Exists(Sizes, size => size != 1);

    /// <summary>What the points are off a curve with T1 = 1 s.</summary>
    public double[] Off(FamilyCurve curve)
    {
        double[] off = new double[Cores.Length];
        for (int i = 0; i < off.Length; i++)
            off[i] = LogMedians[i] - curve.LogShare(Cores[i], Sizes[i]);
        return off;
    }
}

/// <summary>
/// One <see cref="ScalingFamily"/> against timings: its best fit, and weighed draws from what the timings leave of its prior.
/// </summary>
/// <remarks>
/// Draws are by importance, one half from the prior, widened, the other from a normal about the best fit with the curvature
/// there, widened; weighed by prior x likelihood over the density of both halves together (Owen and Zhou, "Safe and effective
/// importance sampling", JASA 95, 2000; from memory). The points are those of an additive recurrence with irrational steps.
/// </remarks>
internal sealed class FamilyFit
{
    /// <summary>The chance, before any timing is seen, that more cores bring caches that the data then fit.</summary>
    public const double CacheChance = 0.2;

    private const double MostCacheGain = 0.3;
    private const double LeastCacheDoublings = 1.2;
    private const double MostCacheDoublings = 4;

    /// <summary>The share of draws with caches; more than their chance, so that there are enough where they are needed.</summary>
    private const double CachesDrawn = 0.4;

    private const double PriorWidened = 1.5;
    private const double LocalWidened = 1.3;
    private const double FarthestCoordinate = 8;

    private readonly ScalingFamily _family;
    private readonly SizeLaw? _law;
    private readonly FittedPoints _points;

    /// <param name="family">The family.</param>
    /// <param name="law">How its work grows with the input; null where all points have the planned one.</param>
    /// <param name="points">What to fit it to.</param>
    public FamilyFit(ScalingFamily family, SizeLaw? law, FittedPoints points)
    {
        _family = family;
        _law = law;
        _points = points;
    }

    private int Dimensions => _family.Dimensions + (_law?.Dimensions ?? 0);

    private double PriorWeight => _family.PriorWeight * (_law?.PriorWeight ?? 1);

    /// <summary>The best fit without caches.</summary>
    /// <param name="covariance">How the timings scatter.</param>
    public FamilyBest Best(TimingCovariance covariance)
    {
        FamilyBest? best = null;
        foreach (ImmutableArray<double> start in _family.Starts)
        {
            FamilyBest found = Descend(covariance, [.. start, .. new double[_law?.Dimensions ?? 0]]);
            if (best is null || found.Loss < best.Loss)
                best = found;
        }

        return best!;
    }

    /// <summary>Draws curves.</summary>
    /// <param name="covariance">How the timings scatter.</param>
    /// <param name="best">The best fit under it.</param>
    /// <param name="count">How many.</param>
    /// <param name="shift">Where the sequence of points starts; from 0 to 1.</param>
    /// <returns>Curves with logarithms of weights, which add up to the family's prior weight times its likelihood.</returns>
    public IEnumerable<(FamilyCurve Curve, double LogWeight)> Draw(TimingCovariance covariance, FamilyBest best, int count, double shift)
    {
        int k = Dimensions;
        (double[,] root, double[,] curvature, double logRoot) = Local(covariance, best.Coordinates);
        double[] steps = Steps(k + 2);
        double[] point = new double[k + 2], normal = new double[k], at = new double[k];
        for (int i = 0; i < count; i++)
        {
            for (int j = 0; j < point.Length; j++)
                point[j] = Fraction(shift + 0.5 + (i + 1) * steps[j]);
            for (int j = 0; j < k; j++)
                normal[j] = Normal.InvCDF(0, 1, Clamp(point[j], 1e-9, 1 - 1e-9));
            for (int j = 0; j < k; j++)
            {
                at[j] = PriorWidened * normal[j];
                if (i % 2 == 1)
                {
                    at[j] = best.Coordinates[j];
                    for (int l = 0; l < k; l++)
                        at[j] += LocalWidened * root[j, l] * normal[l];
                }
            }

            double logWeight = Log(PriorWeight / count) - LogDrawnAgainstPrior(at, best.Coordinates, curvature, logRoot);
            bool caches = point[k] < CachesDrawn;
            double gain = caches ? MostCacheGain * point[k] / CachesDrawn : 0;
            logWeight += caches ? Log(CacheChance / CachesDrawn) : Log((1 - CacheChance) / (1 - CachesDrawn));
            FamilyCurve curve = CurveAt(at) with
            {
                CacheGain = gain,
                CacheDoublings = LeastCacheDoublings + (MostCacheDoublings - LeastCacheDoublings) * point[k + 1],
            };
            double[] residuals = _points.Off(curve);
            yield return (curve, logWeight - 0.5 * covariance.Product(residuals, residuals));
        }
    }

    /// <summary>Gauss-Newton with a growing damping (Levenberg and Marquardt); the prior makes every step's system regular.</summary>
    private FamilyBest Descend(TimingCovariance covariance, double[] at)
    {
        double[] residuals = Residuals(at);
        double loss = Loss(covariance, at, residuals);
        double damping = 1e-3;
        for (int step = 0; step < 100 && damping < 1e8; step++)
        {
            double[][] slopes = Slopes(at, residuals);
            Matrix<double> normal = Curvature(covariance, slopes);
            Vector<double> right = Vector<double>.Build.Dense(at.Length, j => -covariance.Product(slopes[j], residuals) - at[j]);
            Vector<double> moved = (normal + Matrix<double>.Build.DenseDiagonal(at.Length, at.Length, j => damping * normal[j, j])).Solve(right);
            double[] trial = [.. at.Select((x, j) => Clamp(x + moved[j], -FarthestCoordinate, FarthestCoordinate))];
            double[] there = Residuals(trial);
            double lossThere = Loss(covariance, trial, there);
            if (!(lossThere < loss))
            {
                damping *= 10;
                continue;
            }

            double gained = loss - lossThere;
            (at, residuals, loss, damping) = (trial, there, lossThere, Max(1e-9, damping / 10));
            if (gained < 1e-7)
                break;
        }

        return new FamilyBest(CurveAt(at), at, residuals, covariance.Level(residuals), loss);
    }

    private static double Loss(TimingCovariance covariance, double[] at, double[] residuals) =>
        0.5 * (covariance.Product(residuals, residuals) + at.Sum(x => x * x));

    private double[] Residuals(double[] at) => _points.Off(CurveAt(at));

    private FamilyCurve CurveAt(ReadOnlySpan<double> coordinates)
    {
        double[] parameters = new double[_family.Dimensions];
        _family.Parameters(coordinates[..parameters.Length], parameters);
        return new FamilyCurve(_family, parameters, _law?.At(coordinates[parameters.Length..]) ?? InputGrowth.Proportional);
    }

    /// <summary>Slopes of the residuals along each coordinate, by small differences.</summary>
    private double[][] Slopes(double[] at, double[] residuals)
    {
        const double Small = 1e-4;
        return
        [
            .. Enumerable.Range(0, at.Length).Select(j =>
            {
                double[] moved = [.. at];
                moved[j] += Small;
                return Residuals(moved).Select((residual, i) => (residual - residuals[i]) / Small).ToArray();
            }),
        ];
    }

    private static Matrix<double> Curvature(TimingCovariance covariance, double[][] slopes) =>
        Matrix<double>.Build.Dense(slopes.Length, slopes.Length, (i, j) => covariance.Product(slopes[i], slopes[j]) + (i == j ? 1 : 0));

    /// <summary>A root of the covariance about the best fit, its inverse, and the logarithm of the root's determinant.</summary>
    private (double[,] Root, double[,] Curvature, double LogRoot) Local(TimingCovariance covariance, double[] at)
    {
        Matrix<double> curvature = Curvature(covariance, Slopes(at, Residuals(at)));
        Matrix<double> root = curvature.Inverse().Cholesky().Factor;
        return (root.ToArray(), curvature.ToArray(), root.Diagonal().Sum(x => Log(x)));
    }

    /// <summary>ln(density the point is drawn with / density of the prior).</summary>
    private static double LogDrawnAgainstPrior(double[] at, double[] centre, double[,] curvature, double logRoot)
    {
        int k = at.Length;
        double prior = 0, local = 0;
        for (int i = 0; i < k; i++)
        {
            prior += at[i] * at[i];
            for (int j = 0; j < k; j++)
                local += (at[i] - centre[i]) * curvature[i, j] * (at[j] - centre[j]);
        }

        double one = -0.5 * prior * (1 / (PriorWidened * PriorWidened) - 1) - k * Log(PriorWidened);
        double other = -0.5 * (local / (LocalWidened * LocalWidened) - prior) - k * Log(LocalWidened) - logRoot;
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

/// <summary>A family's best fit.</summary>
/// <param name="Curve">The curve.</param>
/// <param name="Coordinates">Where it is, in the prior's coordinates.</param>
/// <param name="Residuals">Log-times less the logarithm of the curve's shape, one a point.</param>
/// <param name="Level">The natural logarithm of T1, seconds.</param>
/// <param name="Loss">What was minimised: half the weighted squares, and half the squares of the coordinates.</param>
internal sealed record FamilyBest(FamilyCurve Curve, double[] Coordinates, double[] Residuals, double Level, double Loss)
{
    /// <summary>ln T.</summary>
    public double LogSeconds(double cores, double size = 1) => Level + Curve.LogShare(cores, size);
}
