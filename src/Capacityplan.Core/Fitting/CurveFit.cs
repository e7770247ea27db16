using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>
/// Fits one <see cref="OverheadModel"/> to log-times: minimises
/// sum w_i (y_i - level - ln((1 + h(p_i))/p_i))^2 + sum ((size_k - centre_k)/scale_k)^2
/// over the level and sizes within their bounds, by Gauss-Newton with step halving; the level is eliminated.
/// One instance serves many fits of the same core counts; it is not thread-safe.
/// </summary>
internal sealed class CurveFit
{
    private const int MostSteps = 40;

    private readonly OverheadModel _model;
    private readonly double[] _cores;
    private readonly double[] _weights;
    private readonly double _weightSum;
    private readonly double[][] _shapes;
    private readonly double[] _residuals;
    private readonly double[] _slopes;

    /// <param name="model">The model; one or two terms.</param>
    /// <param name="cores">Core counts, each 1 or more.</param>
    /// <param name="weights">Inverse variances of the log-times.</param>
    public CurveFit(OverheadModel model, double[] cores, double[] weights)
    {
        _model = model;
        _cores = cores;
        _weights = weights;
        _weightSum = weights.Sum();
        _shapes = [.. Enumerable.Range(0, model.Terms.Length).Select(term => cores.Select(p => model.Shape(term, p)).ToArray())];
        _residuals = new double[cores.Length];
        _slopes = new double[cores.Length * model.Terms.Length];
    }

    /// <summary>Fits.</summary>
    /// <param name="logSeconds">Natural logarithms of seconds, one a core count.</param>
    /// <param name="centres">Where each size is drawn to, with its term's prior scale.</param>
    /// <param name="sizes">Receives the sizes.</param>
    /// <param name="logOneCore">Receives the natural logarithm of T1 in seconds.</param>
    /// <returns>The sum minimised.</returns>
    public double Minimise(ReadOnlySpan<double> logSeconds, ReadOnlySpan<double> centres, Span<double> sizes, out double logOneCore)
    {
        int terms = sizes.Length;
        for (int term = 0; term < terms; term++)
            sizes[term] = Clamp(centres[term], 0, _model.Terms[term].Most);
        double best = Residuals(logSeconds, centres, sizes, out logOneCore);
        Span<double> step = stackalloc double[terms];
        Span<double> trial = stackalloc double[terms];
        for (int round = 0; round < MostSteps; round++)
        {
            Step(centres, sizes, step);
            double moved = 0;
            bool better = false;
            for (double share = 1; share > 1e-3; share /= 2)
            {
                moved = 0;
                for (int term = 0; term < terms; term++)
                {
                    trial[term] = Clamp(sizes[term] + share * step[term], 0, _model.Terms[term].Most);
                    moved = Max(moved, Abs(trial[term] - sizes[term]) / _model.Terms[term].PriorScale);
                }

                double sum = Residuals(logSeconds, centres, trial, out double level);
                if (sum < best)
                {
                    best = sum;
                    logOneCore = level;
                    trial.CopyTo(sizes);
                    better = true;
                    break;
                }
            }

            // No step shortens the sum, or the last one was a ten-thousandth of the prior's scale: settled.
            if (!better || moved < 1e-4)
                break;
        }

        return best;
    }

    private double Residuals(ReadOnlySpan<double> logSeconds, ReadOnlySpan<double> centres, ReadOnlySpan<double> sizes, out double level)
    {
        double mean = 0;
        for (int i = 0; i < _cores.Length; i++)
        {
            double growth = 1;
            for (int term = 0; term < sizes.Length; term++)
                growth += sizes[term] * _shapes[term][i];
            _residuals[i] = logSeconds[i] - Log(growth / _cores[i]);
            for (int term = 0; term < sizes.Length; term++)
                _slopes[term * _cores.Length + i] = _shapes[term][i] / growth;
            mean += _weights[i] * _residuals[i];
        }

        level = mean / _weightSum;
        double sum = 0;
        for (int i = 0; i < _cores.Length; i++)
        {
            _residuals[i] -= level;
            sum += _weights[i] * _residuals[i] * _residuals[i];
        }

        for (int term = 0; term < sizes.Length; term++)
        {
            double pull = (sizes[term] - centres[term]) / _model.Terms[term].PriorScale;
            sum += pull * pull;
        }

        return sum;
    }

    /// <summary>The Gauss-Newton step from the residuals and slopes as they stand, kept inside the bounds.</summary>
    private void Step(ReadOnlySpan<double> centres, ReadOnlySpan<double> sizes, Span<double> step)
    {
        int n = _cores.Length, terms = sizes.Length;
        for (int term = 0; term < terms; term++)
        {
            Span<double> slopes = _slopes.AsSpan(term * n, n);
            double mean = 0;
            for (int i = 0; i < n; i++)
                mean += _weights[i] * slopes[i];
            mean /= _weightSum;
            for (int i = 0; i < n; i++)
                slopes[i] -= mean;
        }

        Span<double> normal = stackalloc double[terms * terms];
        Span<double> right = stackalloc double[terms];
        for (int a = 0; a < terms; a++)
        {
            double precision = 1 / (_model.Terms[a].PriorScale * _model.Terms[a].PriorScale);
            right[a] = precision * (centres[a] - sizes[a]);
            for (int i = 0; i < n; i++)
                right[a] += _weights[i] * _slopes[a * n + i] * _residuals[i];
            for (int b = 0; b < terms; b++)
            {
                double sum = a == b ? precision : 0;
                for (int i = 0; i < n; i++)
                    sum += _weights[i] * _slopes[a * n + i] * _slopes[b * n + i];
                normal[a * terms + b] = sum;
            }
        }

        if (terms == 1)
        {
            step[0] = Clamp(right[0] / normal[0], -sizes[0], _model.Terms[0].Most - sizes[0]);
            return;
        }

        BoxedPair(normal, right, sizes, step);
    }

    /// <summary>Minimises a quadratic in two steps, each within its bounds: inside, or along the best edge.</summary>
    private void BoxedPair(ReadOnlySpan<double> normal, ReadOnlySpan<double> right, ReadOnlySpan<double> sizes, Span<double> step)
    {
        double a = normal[0], c = normal[1], b = normal[3];
        double determinant = a * b - c * c;
        double low0 = -sizes[0], high0 = _model.Terms[0].Most - sizes[0];
        double low1 = -sizes[1], high1 = _model.Terms[1].Most - sizes[1];
        if (determinant > 0)
        {
            double x = (b * right[0] - c * right[1]) / determinant;
            double y = (a * right[1] - c * right[0]) / determinant;
            if (x >= low0 && x <= high0 && y >= low1 && y <= high1)
            {
                (step[0], step[1]) = (x, y);
                return;
            }
        }

        double best = double.PositiveInfinity;
        foreach (double x in (ReadOnlySpan<double>)[low0, high0])
            Keep(x, Clamp((right[1] - c * x) / b, low1, high1), right, step);
        foreach (double y in (ReadOnlySpan<double>)[low1, high1])
            Keep(Clamp((right[0] - c * y) / a, low0, high0), y, right, step);

        void Keep(double x, double y, ReadOnlySpan<double> r, Span<double> kept)
        {
            double value = 0.5 * (a * x * x + 2 * c * x * y + b * y * y) - r[0] * x - r[1] * y;
            if (value < best)
            {
                best = value;
                (kept[0], kept[1]) = (x, y);
            }
        }
    }
}
