using System.Collections.Immutable;
using MathNet.Numerics.LinearAlgebra;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>A curve of a family: its parameters, what caches give it, and how it grows with the input.</summary>
/// <param name="Family">The family.</param>
/// <param name="Parameters">Its parameters.</param>
/// <param name="Growth">How it grows with the input.</param>
/// <param name="CacheGain">The log-time that caches take away once the data fit them; 0 or more.</param>
/// <param name="CacheDoublings">The doublings of cores it takes until they do; above 0.</param>
internal readonly record struct FamilyCurve(
    ScalingFamily Family, double[] Parameters, InputGrowth Growth, double CacheGain = 0, double CacheDoublings = 1)
{
    /// <summary>ln(T(p, n)/T1), T1 being that of the planned input, n = 1.</summary>
    public double LogShare(double cores, double size = 1) => LogShare(Parts(cores), cores, size);

    /// <summary>What makes up the time for the planned input, caches left out, as shares of T1.</summary>
    public RunTimeParts Parts(double cores) => Family.Parts(Parameters, cores);

    /// <summary>The same as <see cref="LogShare(double, double)"/>, from the parts at these cores.</summary>
    public double LogShare(in RunTimeParts parts, double cores, double size)
    {
        double log = Log(Growth.Share(parts, size));
        return CacheGain == 0 ? log : log - CacheGain * Min(1, Log2(cores) / CacheDoublings);
    }
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
    public double[] Off(in FamilyCurve curve)
    {
        double[] off = new double[Cores.Length];
        Off(curve, off);
        return off;
    }

    /// <summary>Writes what the points are off a curve with T1 = 1 s.</summary>
    public void Off(in FamilyCurve curve, Span<double> off)
    {
        for (int i = 0; i < off.Length; i++)
            off[i] = LogMedians[i] - curve.LogShare(Cores[i], Sizes[i]);
    }
}

/// <summary>One <see cref="ScalingFamily"/> against timings: its best fit, about which <see cref="FamilyDraws"/> are drawn.</summary>
internal sealed class FamilyFit
{
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

    /// <summary>How many coordinates the family and the law have together.</summary>
    public int Dimensions => _family.Dimensions + (_law?.Dimensions ?? 0);

    /// <summary>How many parameters the family's curves have.</summary>
    public int Parameters => _family.Dimensions;

    /// <summary>Their weight before any timing is seen.</summary>
    public double PriorWeight => _family.PriorWeight * (_law?.PriorWeight ?? 1);

    /// <summary>What it is fitted to.</summary>
    public FittedPoints Points => _points;

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

    private FamilyCurve CurveAt(ReadOnlySpan<double> coordinates) => CurveAt(coordinates, new double[Parameters]);

    /// <summary>The curve, without caches, that coordinates stand for.</summary>
    /// <param name="coordinates"><see cref="Dimensions"/> numbers.</param>
    /// <param name="parameters">Receives the family's <see cref="Parameters"/>, and is the curve's own from then on.</param>
    public FamilyCurve CurveAt(ReadOnlySpan<double> coordinates, double[] parameters)
    {
        _family.Parameters(coordinates[..parameters.Length], parameters);
        return new FamilyCurve(_family, parameters, _law?.At(coordinates[parameters.Length..]) ?? InputGrowth.Proportional);
    }

    /// <summary>Slopes of the residuals along each coordinate, by small differences.</summary>
    private double[][] Slopes(double[] at, double[] residuals)
    {
        const double Small = 1e-4;
        double[][] slopes = new double[at.Length][];
        for (int j = 0; j < at.Length; j++)
        {
            double[] moved = [.. at];
            moved[j] += Small;
            slopes[j] = Residuals(moved);
            for (int i = 0; i < residuals.Length; i++)
                slopes[j][i] = (slopes[j][i] - residuals[i]) / Small;
        }

        return slopes;
    }

    /// <summary>The curvature of what is minimised, at coordinates.</summary>
    public Matrix<double> Curvature(TimingCovariance covariance, double[] at) => Curvature(covariance, Slopes(at, Residuals(at)));

    private static Matrix<double> Curvature(TimingCovariance covariance, double[][] slopes) =>
        Matrix<double>.Build.Dense(slopes.Length, slopes.Length, (i, j) => covariance.Product(slopes[i], slopes[j]) + (i == j ? 1 : 0));
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
