using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.Random;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>Factors of what is stated of a job's phases.</summary>
internal readonly record struct CalibrationFactors(double Work, double Overhead, double Span);

/// <summary>
/// Fits the three factors to timings. With w on all durations, o on what the pool costs and s on the span besides, the phases
/// take
/// <code>T(p) = w (T1/p + s W(p)) + o C(p)</code>
/// where W(p) is what the longest chains and the serial phases add to an even split of T1 over p, and C(p) what the pool costs.
/// </summary>
/// <remarks>
/// log T is fitted to the log-medians of the measured core counts with the noise of <see cref="TimingNoise"/>; log w, log o and
/// log s are normal about 0 before any timing is seen, with deviations <see cref="WorkScatter"/>, <see cref="OverheadScatter"/>
/// and <see cref="SpanScatter"/> (assumptions, wide). A core count far off counts less, by Huber's rule (Robust Statistics,
/// Wiley 1981; from memory), where there are four at least. The factors drawn are importance draws about the best ones: a
/// normal distribution, widened, from the curvature there, weighed and drawn again (sampling importance resampling; Rubin 1988,
/// from memory).
/// </remarks>
internal sealed class CalibrationFit
{
    /// <summary>Log-scatter of the durations' factor before any timing is seen: twice or half is no surprise.</summary>
    public const double WorkScatter = 0.7;

    /// <summary>Log-scatter of the factor of what the pool costs.</summary>
    public const double OverheadScatter = 1;

    /// <summary>Log-scatter of the span's factor.</summary>
    public const double SpanScatter = 0.5;

    /// <summary>So many factors are weighed for one that is drawn.</summary>
    private const int CandidatesPerDraw = 4;
    private const double Widened = 1.3;
    private const double Strays = 1.5;
    private const double LeastToTellStrays = 4;
    private static readonly double[] s_scatters = [WorkScatter, OverheadScatter, SpanScatter];

    private readonly Terms[] _terms;
    private readonly double[] _logMedians;
    private readonly double[] _deviations;

    /// <param name="curve">The phases.</param>
    /// <param name="groups">The measured core counts; one or more.</param>
    /// <param name="noise">The noise of the timings.</param>
    /// <param name="seed">Seed of the draws.</param>
    /// <param name="draws">How many draws of the factors.</param>
    /// <param name="cancellation">Stops the work.</param>
    public CalibrationFit(
        DescribedCurve curve, ImmutableArray<TimingGroup> groups, TimingNoise noise, int seed, int draws, CancellationToken cancellation)
    {
        _terms = [.. groups.Select(group => Terms.At(curve, group.CoresWorth))];
        _logMedians = [.. groups.Select(group => group.LogMedian)];
        _deviations = [.. groups.Select(group => Sqrt(noise.VarianceOfMedian(group)))];
        Vector<double> best = Best(cancellation);
        Centre = Factors(best);
        // What the level costs is left out: a curve of any kind is free to choose its own.
        ComparedLoss = Loss(best) - PriorLoss(best[0], WorkScatter);
        Draws = Draw(best, Loss(best), seed, draws, cancellation);
    }

    /// <summary>The most likely factors.</summary>
    public CalibrationFactors Centre { get; }

    /// <summary>Equally likely factors.</summary>
    public CalibrationFactors[] Draws { get; }

    /// <summary>
    /// Minus the logarithm of the likelihood and of the priors of the overhead's and the span's factors, at the most likely
    /// ones, constants left out.
    /// </summary>
    public double ComparedLoss { get; }

    /// <summary>What log-times cost that are so many standard deviations off: half the square, and less past a few where strays can be told.</summary>
    /// <param name="offs">Standard deviations each measured core count is off.</param>
    public static double LossOf(IReadOnlyCollection<double> offs) => offs.Sum(off => LossOf(off, offs.Count));

    private static double LossOf(double off, int count) =>
        count < LeastToTellStrays || Abs(off) <= Strays ? 0.5 * off * off : Strays * (Abs(off) - 0.5 * Strays);

    private static CalibrationFactors Factors(Vector<double> logs) => new(Exp(logs[0]), Exp(logs[1]), Exp(logs[2]));

    private double Off(int index, CalibrationFactors factors) => (_logMedians[index] - Log(_terms[index].Seconds(factors))) / _deviations[index];

    private double[] Offs(Vector<double> logs)
    {
        CalibrationFactors factors = Factors(logs);
        return [.. Enumerable.Range(0, _terms.Length).Select(i => Off(i, factors))];
    }

    private double Loss(Vector<double> logs) => Loss(logs[0], logs[1], logs[2]);

    private double Loss(double logWork, double logOverhead, double logSpan)
    {
        var factors = new CalibrationFactors(Exp(logWork), Exp(logOverhead), Exp(logSpan));
        double loss = 0;
        for (int i = 0; i < _terms.Length; i++)
            loss += LossOf(Off(i, factors), _terms.Length);
        return loss + PriorLoss(logWork, WorkScatter) + PriorLoss(logOverhead, OverheadScatter) + PriorLoss(logSpan, SpanScatter);
    }

    private static double PriorLoss(double log, double scatter) => 0.5 * log / scatter * (log / scatter);

    /// <summary>Gauss-Newton with a growing damping (Levenberg and Marquardt); the prior makes every step's system regular.</summary>
    private Vector<double> Best(CancellationToken cancellation)
    {
        // The level is known from the first look: times are off by the same factor everywhere, as a rule.
        double[] levels = [.. _terms.Select((terms, i) => _logMedians[i] - Log(terms.Seconds(new CalibrationFactors(1, 1, 1))))];
        Vector<double> at = Vector<double>.Build.DenseOfArray([levels.Average(), 0, 0]);
        double loss = Loss(at);
        double damping = 1e-3;
        for (int step = 0; step < 200 && damping < 1e12; step++)
        {
            cancellation.ThrowIfCancellationRequested();
            (Matrix<double> curvature, Vector<double> slope) = Local(at);
            Vector<double> moved = at + (curvature + Matrix<double>.Build.DenseDiagonal(3, 3, i => damping * curvature[i, i])).Solve(slope);
            // No factor past e^20 means anything.
            moved = moved.PointwiseMinimum(20).PointwiseMaximum(-20);
            double there = Loss(moved);
            if (!(there < loss))
            {
                damping *= 10;
                continue;
            }

            double gained = loss - there;
            (at, loss, damping) = (moved, there, Max(1e-9, damping / 10));
            if (gained < 1e-12 * (1 + loss))
                break;
        }

        return at;
    }

    /// <summary>Curvature of the loss, and the direction downhill.</summary>
    private (Matrix<double> Curvature, Vector<double> Slope) Local(Vector<double> logs)
    {
        CalibrationFactors factors = Factors(logs);
        double[] offs = Offs(logs);
        Matrix<double> curvature = Matrix<double>.Build.Dense(3, 3);
        Vector<double> slope = Vector<double>.Build.Dense(3);
        for (int i = 0; i < _terms.Length; i++)
        {
            Vector<double> gradient = _terms[i].LogSlopes(factors) / _deviations[i];
            double weight = offs.Length < LeastToTellStrays || Abs(offs[i]) <= Strays ? 1 : Strays / Abs(offs[i]);
            curvature += weight * gradient.OuterProduct(gradient);
            slope += weight * offs[i] * gradient;
        }

        for (int i = 0; i < 3; i++)
        {
            curvature[i, i] += 1 / (s_scatters[i] * s_scatters[i]);
            slope[i] -= logs[i] / (s_scatters[i] * s_scatters[i]);
        }

        return (curvature, slope);
    }

    private CalibrationFactors[] Draw(Vector<double> best, double bestLoss, int seed, int draws, CancellationToken cancellation)
    {
        var random = new Xoshiro256StarStar(seed, threadSafe: false);
        var normal = new Normal(0, 1, random);
        double[,] spread = (Widened * Local(best).Curvature.Inverse().Cholesky().Factor).ToArray();
        // Plain numbers: a page's answer waits for thousands of these.
        int count = CandidatesPerDraw * draws;
        double[] candidates = new double[3 * count], weights = new double[count];
        Span<double> z = stackalloc double[3];
        for (int i = 0; i < count; i++)
        {
            cancellation.ThrowIfCancellationRequested();
            for (int j = 0; j < 3; j++)
                z[j] = normal.Sample();
            Span<double> at = candidates.AsSpan(3 * i, 3);
            for (int j = 0; j < 3; j++)
                at[j] = best[j] + spread[j, 0] * z[0] + spread[j, 1] * z[1] + spread[j, 2] * z[2];
            weights[i] = Exp(bestLoss - Loss(at[0], at[1], at[2]) + 0.5 * (z[0] * z[0] + z[1] * z[1] + z[2] * z[2]));
        }

        // Evenly spaced marks along the summed weights pick each candidate about as often as its weight says.
        double step = weights.Sum() / draws, mark = random.NextDouble() * step, passed = 0;
        var chosen = new CalibrationFactors[draws];
        int candidate = -1;
        for (int draw = 0; draw < draws; draw++, mark += step)
        {
            while (candidate < count - 1 && passed <= mark)
                passed += weights[++candidate];
            chosen[draw] = new(Exp(candidates[3 * candidate]), Exp(candidates[3 * candidate + 1]), Exp(candidates[3 * candidate + 2]));
        }

        return chosen;
    }

    /// <summary>The phases at a core count, in the terms the factors apply to; seconds.</summary>
    /// <param name="Even">T1/p without what the pool costs.</param>
    /// <param name="Waiting">W(p); 0 or more.</param>
    /// <param name="Pool">C(p); 0 or more.</param>
    /// <param name="MostSpan">The span's largest factor: it is no longer than the work.</param>
    internal readonly record struct Terms(double Even, double Waiting, double Pool, double MostSpan)
    {
        public static Terms At(DescribedCurve curve, double cores)
        {
            StructureParts parts = curve.At(cores);
            double even = parts.Useful + parts.Serial / cores;
            double waiting = parts.Waiting + parts.Serial * (1 - 1 / cores);
            double work = curve.WorkSeconds - curve.At(1).Overhead;
            return new Terms(
                even + Min(0, waiting), Max(0, waiting), parts.Overhead, curve.SpanSeconds > 0 ? Max(1, work / curve.SpanSeconds) : 1);
        }

        public double Seconds(CalibrationFactors factors) =>
            factors.Work * (Even + Min(factors.Span, MostSpan) * Waiting) + factors.Overhead * Pool;

        public CurveParts Parts(CalibrationFactors factors) => new(
            factors.Work * Even, factors.Work * Min(factors.Span, MostSpan) * Waiting, factors.Overhead * Pool);

        /// <summary>Slopes of log T along the logarithms of the factors.</summary>
        public Vector<double> LogSlopes(CalibrationFactors factors)
        {
            double seconds = Seconds(factors);
            double span = factors.Span <= MostSpan ? factors.Work * factors.Span * Waiting : 0;
            return Vector<double>.Build.DenseOfArray([1 - factors.Overhead * Pool / seconds, factors.Overhead * Pool / seconds, span / seconds]);
        }
    }
}
